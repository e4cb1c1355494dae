"""The facts of a case as sheets of cells: what stands where in the entry workbook."""
