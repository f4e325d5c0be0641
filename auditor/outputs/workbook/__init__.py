"""The workbook with the decision column."""
