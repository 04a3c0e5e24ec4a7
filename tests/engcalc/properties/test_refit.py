"""The committed coefficients are what CoolProp gives today, and the fast functions agree with CoolProp itself."""

from pathlib import Path

import numpy as np
import pytest

from engcalc.properties import coefficients, coolant, refit
from engcalc.properties.coolant import Base


@pytest.fixture(scope="module")
def fresh() -> dict[str, object]:
    """What a refit would write, read as Python."""
    text = refit.render()
    assert refit.render() == text  # nothing of the clock or of the run goes into the file
    names: dict[str, object] = {}
    exec(compile(text, "coefficients.py", "exec"), names)  # our own generated text
    return names


def test_committed_coefficients_are_those_of_a_refit(fresh: dict[str, object]) -> None:
    """To the last written digit or two, which another processor's rounding may turn."""
    committed = {name: value for name, value in vars(coefficients).items() if name.isupper()}
    assert set(committed) == {name for name in fresh if name.isupper()}
    for name, value in committed.items():
        if isinstance(value, str):
            assert fresh[name] == value
        elif name.endswith("DEVIATION"):
            assert np.array(fresh[name]) == pytest.approx(np.array(value), rel=0.2, abs=1e-7), name
        else:
            assert np.array(fresh[name]) == pytest.approx(np.array(value), rel=1e-5, abs=2e-3), name


def grid(base: Base) -> tuple[np.ndarray, np.ndarray]:
    """Points between those of the fit."""
    fractions = np.array([0.0]) if base is Base.WATER else np.array([0.13, 0.27, 0.41, 0.5, 0.59])
    T = np.linspace(238.7, 372.6, 34) if base is not Base.WATER else np.linspace(274.0, 412.0, 40)
    T, phi = np.meshgrid(T, fractions)
    return T.ravel(), phi.ravel()


@pytest.mark.parametrize("base", list(Base))
def test_fit_deviates_from_coolprop_by_no_more_than_it_says(base: Base) -> None:
    T, phi = grid(base)
    exact = refit.exact_points(base.value, T, phi)
    assert exact.index.size > 30
    ours = coolant.thermo(T[exact.index], phi[exact.index], base)
    for name, worst in coolant.FIT_DEVIATION[base].items():
        deviation = np.max(np.abs(getattr(ours, name) / getattr(exact, name) - 1))
        assert deviation < max(1.3 * worst, 1e-6), name  # these points lie between the fit's own


@pytest.mark.parametrize("base", [Base.ETHYLENE, Base.PROPYLENE])
def test_freezing_points_are_coolprops(base: Base) -> None:
    from CoolProp.CoolProp import PropsSI

    phi = np.array([0.1, 0.22, 0.35, 0.5, 0.6])
    name = refit.GLYCOLS[base.value]
    exact = [PropsSI("T_FREEZE", "T", 300.0, "P", 1e6, f"INCOMP::{name}[{f!r}]") for f in phi.tolist()]
    assert coolant.freezing_point(base, phi) == pytest.approx(exact, abs=0.002)


def test_exact_points_answer_only_what_coolprop_answers() -> None:
    """In turn: frozen, fine, too hot, too thin, too strong, water (a mixture's zero end), water too cold."""
    T = np.array([250.0, 330.0, 390.0, 330.0, 330.0, 390.0, 260.0])
    phi = np.array([0.2, 0.5, 0.5, 0.05, 0.7, 0.0, 0.0])
    points = refit.exact_points("ethylene glycol", T, phi)
    assert points.index.tolist() == [1, 5]
    assert np.all(np.isfinite(points.mu))
    assert refit.exact_points("ethylene glycol", T[:1], phi[:1]).rho.shape == (0,)


def test_the_command_writes_the_file_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(refit, "OUTPUT", tmp_path / "coefficients.py")
    refit.main()
    assert capsys.readouterr().out == "wrote coefficients.py\n"
    assert (tmp_path / "coefficients.py").read_text(encoding="utf-8").startswith('"""Coefficients made by')
