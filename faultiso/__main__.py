"""``python -m faultiso``."""

from faultiso.cli.app import main

if __name__ == "__main__":
    main()
