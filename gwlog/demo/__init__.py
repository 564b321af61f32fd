"""An invented household and its invented months, for trying gwlog out, for the tests and for the benchmarks.

Nothing here is used by gwlog itself; `demo_seed.py` writes it into a logbook.
"""
