"""`python -m trainapp`."""

from trainapp.cli import main

if __name__ == "__main__":
    main()
