"""Run every benchmark and print its table: ``python -m tests.benchmarks.run``."""

import importlib
import sys
from pathlib import Path

import pytest


def main():
    """Benchmarks with a main of their own print a table; the others also fail below their reach."""
    tests = []
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        module = importlib.import_module(f"tests.benchmarks.{path.stem}")
        if hasattr(module, "main"):
            module.main()
        else:
            tests.append(str(path))
    # One process: ratios hold within one run only.
    return pytest.main(["-q", "-s", "-p", "no:cacheprovider", "--no-header", *sys.argv[1:], *tests])


if __name__ == "__main__":
    raise SystemExit(main())
