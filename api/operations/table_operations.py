"""The operations that ask the freeze table and the pool, as the OpenAPI document describes them."""

from __future__ import annotations

from api.operations.operation import JSON, page
from api.operations.table_parameters import FORMAT, FORMATS, OF_FREEZE, OF_POOL

__all__ = ["ESTIMATE_FREEZE", "MEASURE_POOL"]

TAG = "freeze table"

ESTIMATE_FREEZE = page(
    "estimateFreeze",
    TAG,
    "Estimate a freeze",
    answers={JSON: "FreezeAnswer", FORMATS["svg"]: "Svg"},
    parameters=[*OF_FREEZE, FORMAT],
)
MEASURE_POOL = page("measurePool", TAG, "Measure a pool", answers={JSON: "PoolAnswer"}, parameters=OF_POOL)
