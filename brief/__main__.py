"""`python -m brief` is the `brief` command."""

from brief.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
