"""The water that enters a node where pipes meet: one law for every walk of a train."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainapp.stages.working import Array
from trainapp.water.mixing import mix
from trainapp.water.stream import Stream


def forward(flow: Array | float) -> Array:
    """What a pipe brings to where it ends, in the unit of its flow: what runs backwards brings nothing; the checks say that it does."""
    return np.maximum(flow, 0.0)


def arriving(streams: Sequence[Stream], flows: Sequence[Array]) -> Stream:
    """One pipe's water as it is, or the mixture of several by what each brings.

    Args:
        streams: what stands at the head of each pipe that leads here.
        flows: of each pipe, any unit, each broadcasting to (flows, waters); below 0 where it runs backwards.
    """
    return streams[0] if len(streams) == 1 else mix(streams, [forward(flow) for flow in flows])
