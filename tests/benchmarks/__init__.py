"""What fieldbook costs, measured beside what it could cost at the least.

    python -m tests.benchmarks [--quick] [--only NAME] [--dir FOLDER]
    python -m tests.benchmarks.kill --times 3000

A machine is fast or slow, and busy or not; a ratio of two things done in turn on the same machine
says more. Nothing here is a test: no test asks how long something takes.
"""
