"""The worked example in DEVELOPERS.md runs as it stands and prints what the page says."""

import re
import subprocess
import sys
from pathlib import Path

PAGE = Path(__file__).resolve().parents[1] / "DEVELOPERS.md"


def test_the_worked_example_runs_and_prints_what_the_page_says(tmp_path):
    text = PAGE.read_text(encoding="utf-8")
    code = re.search(r"```python\n(.*?)```", text, re.DOTALL)[1]
    printed = re.search(r"```text\n(.*?)```", text, re.DOTALL)[1]
    script = tmp_path / "example.py"
    script.write_text(code, encoding="utf-8")
    run = subprocess.run(
        [sys.executable, "-X", "utf8", str(script)], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout == printed
