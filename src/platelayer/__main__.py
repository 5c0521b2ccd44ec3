"""``python -m platelayer``."""

from platelayer.cli import main

if __name__ == "__main__":
    main()
