-- Rows only where the audit found something critical: a task of a scheduler that runs a query can wait on it.
-- Put the path of the output folder in; DuckDB and others read Parquet where they stand.
SELECT feed, record, supplier, sku, field, stated, derived, message
FROM 'audit_output/findings.parquet'
WHERE grade = 'critical'
ORDER BY feed, record, field;
