"""``python -m optioneer``: the same as the ``optioneer`` command."""

from optioneer.start import main

if __name__ == "__main__":
    main()
