"""Supplier sheets as they come, CSV, XLSX or JSON: read, reported on, written.

See :func:`read_sheet`.
"""

from basswright.catalogue.sheets.export import write_csv, write_xlsx
from basswright.catalogue.sheets.mapping import ColumnMapping, SheetMapping
from basswright.catalogue.sheets.read import read_sheet, show_mapping
from basswright.catalogue.sheets.report import Note, SheetReport

__all__ = [
    "ColumnMapping",
    "Note",
    "SheetMapping",
    "SheetReport",
    "read_sheet",
    "show_mapping",
    "write_csv",
    "write_xlsx",
]
