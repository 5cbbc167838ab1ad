"""`python -m tarewell` is the command line."""

from tarewell.cli import main

if __name__ == "__main__":
    main()
