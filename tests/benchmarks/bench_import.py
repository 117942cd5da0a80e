"""What `import chalkwatt` costs over bare Python, and that it brings nothing heavy with it."""

import subprocess
import sys

import pytest

from tests.benchmarks.measuring import seconds, table
from tests.browsing import ROOT

pytestmark = pytest.mark.benchmark
REACH = 0.060  # seconds over bare Python
# Paths by hand, so that the installed packages' own start-up files do not count.
PATHS = f"import sys; sys.path.insert(0, {str(ROOT / 'kit')!r}); "


def run(code):
    subprocess.run([sys.executable, "-c", PATHS + code], check=True, capture_output=True)


def test_import(record_property):
    made = seconds(
        {
            "bare Python": lambda: run("pass"),
            "import chalkwatt": lambda: run("import chalkwatt"),
            "import numpy": lambda: run("import numpy"),
            "import sympy": lambda: run("import sympy"),
        },
        rounds=9,
    )
    table("A fresh interpreter", made, against="bare Python", unit="ms")
    more = made["import chalkwatt"] - made["bare Python"]
    print(f"  over bare Python: {1e3 * more:.1f} ms; reach: at most {1e3 * REACH:.0f} ms")
    record_property("milliseconds", 1e3 * more)
    assert more <= REACH
