"""The window used at random for a long time: what it takes of the machine, minute by minute.

Run ``python -m tests.benchmarks.soak --minutes 20 --seed 1`` (offscreen by default). Legal
actions on all pages, one every fifth of a second or so, in the real window with its real
worker processes. Every minute: memory of the window and of its workers, open handles,
threads, processes, exceptions and Qt messages so far (memory is the median of the minute's
looks: what a run or a job needs while it lasts comes and goes); at the end how much the memory
of the window and of the largest worker grew from the second quarter to the last, how long
closing took and what was left. Asserts nothing about time; ends with code 1 if anything was
raised or a process was left. Memory and handles are read from /proc, elsewhere they are told
as ``nan``.

A folder with a ``__main__``, so that the workers load what they load in the program and no more.
"""
