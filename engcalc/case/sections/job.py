"""Inputs. The job: who brought what, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, FileShape, Input, choice, text
from engcalc.causes.history import LOST_AT, ONSETS, WORKS

TOLD_SIGNS: Mapping[str, str] = {
    "cold_at_idle": "the gauge stays low or falls standing still",
    "cold_when_driving": "the gauge stays low or falls under way",
    "cold_always": "the gauge stays low, standing still and under way",
    "slow_to_warm": "it is slow to warm up",
    "heater_cold_gauge_low": "the heater blows cold or lukewarm air and the gauge stays low",
    "heater_cold_gauge_normal": "the heater is cold while the gauge is normal",
    "heater_lukewarm": "the heater blows lukewarm air while the gauge is normal",
    "hot_at_idle": "it runs hot standing still",
    "hot_at_speed": "it runs hot at speed",
    "hot_towing": "it runs hot towing or uphill",
    "hot_always": "it runs hot, standing still and at speed",
    "smell": "it smells of coolant, sweet",
    "steam": "steam was seen",
    "warning_lamp": "a warning lamp for temperature or coolant came on",
}
"""What a customer may tell, and how it reads in a sentence of its own."""
HEATER_SIGNS = ("heater_cold_gauge_normal", "heater_lukewarm")  # signs that point to the heater's side
TOLD_INPUTS = ("told", "coolant_lost_at", "onset", "after_work")  # keys of what the customer tells

NAMES = (
    "job.title",
    "job.work_order",
    "job.shop",
    "job.shop_contact",
    "job.customer",
    "job.vehicle",
    "job.registration",
    "job.vin",
    "job.odometer",
    "job.prepared_by",
    "job.credential",
    "job.date",
    "job.work_done",
    "job.notes",
)
"""Paths of what names vehicle, people and work for the paper: no check and no odds depend on them."""


@dataclass(frozen=True, eq=False)
class Job:
    """Whose vehicle it is, who looks at it and why."""

    title: Annotated[str | None, text("Title")]
    work_order: Annotated[str | None, text("Work order")]
    shop: Annotated[str | None, text("Shop")]
    shop_contact: Annotated[str | None, text("Shop contact", "Address, telephone or mail, for the report.")]
    customer: Annotated[str | None, text("Customer")]
    vehicle: Annotated[str | None, text("Vehicle", "Make, model and year as the customer would say it.")]
    registration: Annotated[str | None, text("Registration")]
    vin: Annotated[str | None, text("VIN")]
    odometer: Annotated[str | None, text("Odometer", "With its unit, as read.")]
    complaint: Annotated[str | None, text("Complaint", "In the customer's own words.", DetailLevel.FIRST)]
    reason: Annotated[
        str | None,
        choice(
            "Why the vehicle is here",
            {
                "screening": "no complaint, a check",
                "no heat": "the heater stays cold",
                "slow warm-up": "warms up slowly",
                "hot at idle": "runs hot standing still",
                "hot at speed": "runs hot under way",
                "loss of coolant": "loses coolant",
                "sizing": "parts are to be chosen",
                "lesson": "a class or a bench rig",
            },
            help="Sets which causes are likely before any reading.",
            level=DetailLevel.FIRST,
        ),
    ]
    told: Annotated[
        Mapping[str, bool],
        Input(
            "",
            "What the customer tells",
            "text",
            shape=FileShape.FLAGS,
            options=TOLD_SIGNS,
            level=DetailLevel.FIRST,
            help="What happens and when. It moves the odds. What nobody asked stays out.",
        ),
    ]
    coolant_lost_at: Annotated[
        str | None,
        choice(
            "Where coolant is lost",
            LOST_AT,
            help="As the customer tells it. Absent: nobody says that coolant is lost.",
            level=DetailLevel.FIRST,
        ),
    ]
    onset: Annotated[str | None, choice("How it came on", ONSETS, level=DetailLevel.FIRST)]
    after_work: Annotated[
        str | None,
        choice(
            "After which work",
            WORKS,
            help="Work on the vehicle after which it began. Absent: nobody asked.",
            level=DetailLevel.FIRST,
        ),
    ]
    prepared_by: Annotated[str | None, text("Prepared by")]
    credential: Annotated[str | None, text("Credential", "Printed as stated by the signer.")]
    date: Annotated[str | None, text("Date", "Year-month-day.")]
    work_done: Annotated[str | None, text("What was done", "The repair in plain words, for the customer's page.")]
    notes: Annotated[str | None, text("Notes")]
    photos: Annotated[
        tuple[str, ...], Input("", "Photos", "text", shape=FileShape.TEXTS, help="Picture files beside the case file.")
    ]
    part_tables: Annotated[
        tuple[str, ...],
        Input(
            "",
            "Tables of parts",
            "text",
            shape=FileShape.TEXTS,
            help="CSV files of cores, fans, pumps, caps or coolers to choose from.",
        ),
    ]
    candidates: Annotated[
        tuple[str, ...],
        Input(
            "",
            "Parts laid side by side",
            "text",
            shape=FileShape.TEXTS,
            help="Names out of the tables of parts, up to six. Absent: the first six of the tables.",
        ),
    ]


# Which reason for the visit a told sign means, where nobody stated one; the first that was told counts. What was hot
# comes first: it hurts an engine.
_REASON_OF_SIGN: Mapping[str, str] = {
    "hot_at_idle": "hot at idle",
    "hot_at_speed": "hot at speed",
    "hot_towing": "hot at speed",
    "hot_always": "hot at speed",
    "steam": "hot at speed",
    "smell": "loss of coolant",
    "heater_cold_gauge_low": "no heat",
    "heater_cold_gauge_normal": "no heat",
    "heater_lukewarm": "no heat",
    "slow_to_warm": "slow warm-up",
    "cold_always": "slow warm-up",
    "cold_when_driving": "slow warm-up",
    "cold_at_idle": "slow warm-up",
    "warning_lamp": "hot at speed",
}


def reason_told(told: Mapping[str, bool], coolant_lost_at: str | None) -> str | None:
    """The reason for the visit that follows from what the customer tells; None where nothing does."""
    hot = [sign for sign in ("hot_at_idle", "hot_at_speed", "hot_towing", "hot_always", "steam") if told.get(sign)]
    if coolant_lost_at is not None and not hot:
        return "loss of coolant"
    return next((reason for sign, reason in _REASON_OF_SIGN.items() if told.get(sign)), None)
