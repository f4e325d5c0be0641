"""A verdict on every row of a Spark data frame: `judged(frame)`; its workers need the program installed.

`mapInArrow` hands a function the record batches of a partition, and takes those that it gives back.
"""

from auditor import verdict_batches


def judged(frame):
    """The frame with the columns verdict, grade and findings; the others as they are."""
    added = ", ".join(f"{name} string" for name in ("verdict", "grade", "findings"))
    schema = ", ".join(f"`{field.name}` {field.dataType.simpleString()}" for field in frame.schema.fields)
    return frame.mapInArrow(verdict_batches, f"{schema}, {added}")
