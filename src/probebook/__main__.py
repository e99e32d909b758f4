"""``python -m probebook`` is the command line."""

from probebook.cli import main

if __name__ == "__main__":
    main()
