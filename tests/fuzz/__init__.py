"""Hostile input: what must hold for whatever is handed in.

promises    what is asked of a reader for any bytes at all
seeds       where the search begins: files that this project makes itself
__main__    the search, guided by the code that is reached (atheris)
corpus/     what earlier searches found worth keeping; the test suite reads all of it
"""
