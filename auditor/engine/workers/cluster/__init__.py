"""Units audited by the workers of a Dask cluster: orders, what runs on a worker, where parts lie, the run's own end."""
