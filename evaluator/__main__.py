"""`python -m evaluator`: the same as the command `evaluator`."""

import sys

from evaluator.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
