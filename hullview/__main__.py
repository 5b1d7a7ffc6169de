"""`python -m hullview` is the command `hullview`."""

from hullview.commands import main

if __name__ == "__main__":
    main()
