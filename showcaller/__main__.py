"""``python -m showcaller``."""

from showcaller.cli import main

if __name__ == "__main__":
    main()
