"""Measurements, apart from the tests: each compares commands with each other in one run."""
