"""`python -m farmsim` is the same as `farmsim`."""

from farmsim.cli import main

if __name__ == "__main__":
    main(prog_name="farmsim")
