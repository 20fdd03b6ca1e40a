"""Every figure of one run, each defined once. `summarise` gives all tables, `measure_page` explains every figure."""

from farmsim.record.measures.page import measure_page
from farmsim.record.measures.registry import MEASURES
from farmsim.record.measures.summary import RunTables, Table, summarise

__all__ = ["MEASURES", "RunTables", "Table", "measure_page", "summarise"]
