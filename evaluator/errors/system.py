"""Why did the system refuse to read or to write, in words that go on after a colon?"""

import errno

REASONS = {
    errno.EACCES: "you have no permission",
    errno.EPERM: "you have no permission",
    errno.ENOENT: "its folder does not exist",
    errno.ENOTDIR: "a part of its path is a file, not a folder",
    errno.EISDIR: "it is a folder",
    errno.EEXIST: "something else has that name",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your disk quota is used up",
    errno.EFBIG: "it would be larger than files may be here",
    errno.EROFS: "the disk is read-only",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ELOOP: "its links go round in a circle",
}
"""Errors of POSIX that people run into."""


def reason(error: OSError | ValueError) -> str:
    """The reason; a `ValueError` is what Python makes of names that no system has."""
    if isinstance(error, OSError):
        return REASONS.get(error.errno or 0, (error.strerror or "the system refused").lower())
    return "that is not a file name"
