"""`python -m evaluator`: the same as the command `evaluator`."""

import os
import sys

# `-m` looks for modules in the working folder first, where takes that somebody handed in
# may lie beside files called like modules.
if sys.path[0] == os.getcwd() != os.path.dirname(os.path.dirname(os.path.abspath(__file__))):
    del sys.path[0]

from evaluator.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
