"""Arrays brought to one shape, against numpy's own rule."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.components.shapes import common_shape, shaped


def test_an_array_that_has_the_shape_is_itself() -> None:
    x = np.arange(3.0)
    assert shaped(x, (3,)) is x
    assert shaped(x, (2, 3)).tolist() == [[0.0, 1.0, 2.0]] * 2


@pytest.mark.parametrize("shapes", [((1,),), ((3,), (3,)), ((1,), (3,)), ((3,), (1,)), ((4, 1), (1,), (1, 3))])
def test_the_common_shape_is_numpys(shapes: tuple[tuple[int, ...], ...]) -> None:
    assert common_shape(*shapes) == np.broadcast_shapes(*shapes)
