"""``python -m basswright``: the same as the command."""

from basswright.cli import main

if __name__ == "__main__":
    main()
