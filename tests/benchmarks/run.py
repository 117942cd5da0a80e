"""Run every benchmark and print its table: ``python -m tests.benchmarks.run``."""

import sys
from pathlib import Path

import pytest


def main():
    files = sorted(str(path) for path in Path(__file__).parent.glob("bench_*.py"))
    # One process: ratios hold within one run only.
    return pytest.main(["-q", "-s", "-p", "no:cacheprovider", "--no-header", *sys.argv[1:], *files])


if __name__ == "__main__":
    raise SystemExit(main())
