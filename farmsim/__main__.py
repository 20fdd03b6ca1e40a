"""`python -m farmsim` is the same as `farmsim`."""

import os

from farmsim.cli import main

if __name__ == "__main__":
    main(prog_name=os.environ.get("FARMSIM_CALLED", "farmsim"))
