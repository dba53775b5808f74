"""A pack on disk, or a spreadsheet, becomes rows, and rows become a pack."""
