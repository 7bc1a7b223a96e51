"""`python -m liftgeo`: the command line."""

from liftgeo.cli import main

if __name__ == "__main__":
    main()
