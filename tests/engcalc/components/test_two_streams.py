"""Exchangers of two streams against ht and published values; series, limits and the way back."""

from __future__ import annotations

import ht
import numpy as np
import pytest

from engcalc.components.exchanger import LMTD
from engcalc.components.two_streams import Passing, correction, passed_share, size_for
from engcalc.errors import RangeError

NTU, CR = (0.3, 1.0, 2.5), (0.2, 0.6, 1.0)
OF_HT = {  # the words of ht, and its number of shells (Incropera et al., Table 11.3)
    (Passing.COUNTERFLOW, 1): ("counterflow", None),
    (Passing.PARALLEL, 1): ("parallel", None),
    (Passing.SHELL_1_2, 1): ("S&T", 1),
    (Passing.SHELL_2_4, 1): ("S&T", 2),
    (Passing.SHELL_1_2, 3): ("S&T", 3),
    (Passing.BOTH_UNMIXED, 1): ("crossflow", None),
}


@pytest.mark.parametrize(("passing", "passes"), OF_HT)
def test_effectiveness_is_that_of_another_library(passing, passes):
    word, shells = OF_HT[passing, passes]
    for N in NTU:
        for C in CR:
            if C == 1.0 and shells is not None and shells > 1:
                continue  # ht divides by zero there; the limit has its own test
            wanted = ht.effectiveness_from_NTU(N, C, word, n_shell_tube=shells)
            assert passed_share(N, C, passing, passes=passes)[0] == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("passing", list(Passing))
@pytest.mark.parametrize("passes", [1, 2])
def test_there_and_back(passing, passes):
    N, C = np.meshgrid(NTU, (0.0, *CR))
    eps = passed_share(N, C, passing, passes=passes)
    found = size_for(eps, C, passing, passes=passes)
    assert found.possible.all()
    assert pytest.approx(N, rel=1e-6) == found.NTU


def test_equal_rates_are_the_limit_of_nearly_equal_ones():
    for passing in (Passing.SHELL_2_4, Passing.BOTH_UNMIXED):
        near = passed_share(1.7, 1.0 - 1e-6, passing, passes=2)
        assert passed_share(1.7, 1.0, passing, passes=2) == pytest.approx(near, rel=1e-6)


def test_more_than_the_arrangement_gives_has_no_size():
    """One shell pass, equal rates: at most 2/(2 + sqrt 2), Incropera et al., 7th ed., Eq. 11.30a at endless NTU."""
    highest = 2.0 / (2.0 + np.sqrt(2.0))
    assert size_for(0.2, 1.0, Passing.SHELL_1_2).highest[0] == pytest.approx(highest)
    assert size_for([highest - 1e-6, highest + 1e-6, -0.1], 1.0, Passing.SHELL_1_2).possible.tolist() == [
        True,
        False,
        False,
    ]


def test_more_shells_come_nearer_to_counterflow():
    shares = [passed_share(3.0, 0.8, Passing.SHELL_1_2, passes=n)[0] for n in (1, 2, 4, 16)]
    counter = passed_share(3.0, 0.8, Passing.COUNTERFLOW)[0]
    assert shares == sorted(shares)
    assert shares[-1] < counter < shares[-1] * 1.01


@pytest.mark.parametrize(("shells", "passing"), [(1, Passing.SHELL_1_2), (2, Passing.SHELL_2_4)])
def test_correction_is_that_of_bowman_by_another_library(shells, passing):
    """ht.F_LMTD_Fakheri: Fakheri, J. Heat Transfer 125 (2003) 527, the closed form of Bowman, Mueller and Nagle."""
    Thi, Tho, Tci, Tco = 130.0, 85.0, 15.0, 70.0
    wanted = ht.F_LMTD_Fakheri(Tci=Tci, Tco=Tco, Thi=Thi, Tho=Tho, shells=shells)
    Ch, Cc = 1.0 / (Thi - Tho), 1.0 / (Tco - Tci)  # for a heat of 1 W
    C_min, C_max = min(Ch, Cc), max(Ch, Cc)
    eps = 1.0 / (C_min * (Thi - Tci))
    size = size_for(eps, C_min / C_max, passing)
    F = correction(size.NTU, C_min / C_max, eps)[0]
    assert pytest.approx(wanted, rel=1e-9) == F
    assert size.NTU[0] * C_min * F * LMTD(Thi - Tco, Tho - Tci)[0] == pytest.approx(1.0, rel=1e-9)  # Q = UA F LMTD


def test_a_mixed_stream_counts_by_its_side():
    """Shah and Sekulic (2003), Table 3.3, by hand: Cmin mixed and Cmax mixed at NTU 1, Cr 0.5."""
    C_min_mixed, C_max_mixed = 0.544763712, 0.541968992
    assert passed_share(1.0, 0.5, Passing.HOT_MIXED, hot_is_min=True)[0] == pytest.approx(C_min_mixed)
    assert passed_share(1.0, 0.5, Passing.HOT_MIXED, hot_is_min=False)[0] == pytest.approx(C_max_mixed)
    assert passed_share(1.0, 0.5, Passing.COLD_MIXED, hot_is_min=True)[0] == pytest.approx(C_max_mixed)


def test_what_lies_outside_is_refused():
    with pytest.raises(RangeError, match="NTU"):
        passed_share(-1.0, 0.5, Passing.SHELL_1_2)
    with pytest.raises(RangeError, match="Cr"):
        passed_share(1.0, 1.5, Passing.SHELL_1_2)


def test_three_unlike_members_are_three_single_runs():
    eps, C = np.array([0.4, 0.95, 0.2]), np.array([0.3, 1.0, 0.0])
    together = size_for(eps, C, Passing.SHELL_2_4)
    alone = [size_for(e, c, Passing.SHELL_2_4) for e, c in zip(eps, C, strict=True)]
    assert pytest.approx([one.NTU[0] for one in alone]) == together.NTU
    assert together.possible.tolist() == [True, False, True]
