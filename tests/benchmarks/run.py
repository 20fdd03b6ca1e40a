"""The benchmark command: every figure of speed and memory beside its target, in one run of a few minutes.

python tests/benchmarks/run.py
"""

import runpy
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).parents[1])
    runpy.run_module("benchmarks.page", run_name="__main__")
