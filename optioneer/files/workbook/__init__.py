"""The entry workbook read back into a case."""
