"""The radiator and what stands before it: tubes, face, seals, shutter."""

from __future__ import annotations

from engcalc.causes.history import History
from engcalc.causes.record import CaseChange, Cause, Fitted, VisibleState, at_least, by, one, same, share, times

# What missing seals do. The air network takes these too, where the case says that they are missing.
SEALS_RAM = 0.7  # -; of the ram that still reaches the core without seals; common practice, no source
SEALS_RECIRCULATION = 2.5  # -; times more hot air comes round without seals; common practice, no source
SEALS_RECIRCULATION_MOST = 0.6  # -; share of hot air, at most, in a vehicle whose seals are gone; common practice

RADIATOR = Cause(
    key="radiator_restricted",
    place=170,
    label="The radiator is clogged inside",
    per_cent={"screening": 0.4, "hot at idle": 9.0, "hot at speed": 24.0},
    severity=share("tubes blocked", median=0.6, spread=0.8, low=0.15, high=0.97),
    changes=(CaseChange("radiator.blocked_tubes", at_least),),
    history=History(sudden=0.1, follows={"coolant": 0.05}),
    checks=("radiator_hose_pair_hot",),
)

FACE = Cause(
    key="face_blocked",
    place=180,
    label="The radiator's face is covered or dirty",
    per_cent={"screening": 0.4, "hot at idle": 6.0, "hot at speed": 9.0},
    severity=share("face blocked", median=0.6, spread=0.8, low=0.15, high=0.97),
    changes=(CaseChange("radiator.blocked_face", at_least),),
    states={VisibleState.FACE: same},
    history=History(sudden=0.25),
    checks=("radiator_face_and_shutter",),
)

SEALS = Cause(
    key="seals_missing",
    place=190,
    label="Seals or ducts in front of the radiator are missing",
    per_cent={"hot at idle": 2.0, "hot at speed": 2.0},
    changes=(
        CaseChange("airflow.ram_recovery", by(SEALS_RAM)),
        CaseChange("airflow.recirculation", by(SEALS_RECIRCULATION, most=SEALS_RECIRCULATION_MOST)),
    ),
    states={VisibleState.SEALS_GONE: one},
    needs=(Fitted("airflow.seals", ("fitted",)),),
    history=History(sudden=0.5, follows={"radiator": 0.4}),
    checks=("radiator_face_and_shutter",),
)

SHUTTER = Cause(
    key="shutter_stuck",
    place=200,
    label="The grille shutter is stuck shut",
    per_cent={"slow warm-up": 0.3, "hot at speed": 2.0},
    severity=share("shutter still open", median=0.08, spread=1.0, low=0.0, high=0.5),
    changes=(CaseChange("airflow.shutter", times),),
    states={VisibleState.SHUTTER: same},
    history=History(sudden=0.65, follows={"radiator": 0.12}),
    checks=("radiator_face_and_shutter",),
)
