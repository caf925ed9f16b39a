"""Run the command with `python -m calclib`, where the program itself is not on the path."""

from calclib.cli.main import main

if __name__ == "__main__":
    main()
