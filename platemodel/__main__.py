"""Run the command line as ``python -m platemodel``."""

from platemodel.cli import main

if __name__ == "__main__":
    main()
