"""Where the time goes: processor and wall seconds of named phases, which may be entered many times."""

import time
from collections import defaultdict
from contextlib import contextmanager

spent = defaultdict(lambda: [0.0, 0.0, 0])  # phase: processor seconds, wall seconds, entries


@contextmanager
def phase(name):
    processor, wall = time.process_time(), time.perf_counter()
    try:
        yield
    finally:
        entry = spent[name]
        entry[0] += time.process_time() - processor
        entry[1] += time.perf_counter() - wall
        entry[2] += 1


def take():
    """The phases so far, and a fresh start."""
    out = {name: tuple(entry) for name, entry in spent.items()}
    spent.clear()
    return out
