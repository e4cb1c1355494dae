"""The files of a case as tables of cells that people edit."""
