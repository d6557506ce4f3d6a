"""How is a fault of the program told?

In a sentence, with what whoever mends it has to know: what was raised, and where.
"""


def told(fault: Exception) -> str:
    """What was raised and where, such as `IndexError: list index out of range, song.py 103`."""
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    what = f"{type(fault).__name__}: {fault}"
    if trace is None:
        return what
    file = trace.tb_frame.f_code.co_filename.replace("\\", "/").rpartition("/")[2]
    return f"{what}, {file} {trace.tb_lineno}"
