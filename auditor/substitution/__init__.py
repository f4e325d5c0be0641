"""May one tire stand in for another: two markings compared point by point, the same or higher.

Facts and outcomes alone, over one pair or over arrays of pairs; the sentences stand in `auditor/wording`.
"""
