"""What the program remembers between runs: recent cases, units, look, text size, letterhead, place of the window."""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

from platformdirs import user_config_path
from PySide6.QtCore import QByteArray, QSettings

from engcalc.case.file import is_file
from engcalc.units import UnitSystem
from reports.letterhead import ShopProfile
from ui.window.theme import TEXT_SIZES, Look

MOST_RECENT = 10


def _digest(header: tuple[str, ...]) -> str:
    """A short name for a header, which may hold any sign."""
    return sha256("\n".join(header).encode()).hexdigest()[:16]


def default_file() -> Path:
    """Where the settings of this user stand."""
    return user_config_path("heatdocket", appauthor=False) / "window.ini"


class Settings:
    """The remembered things; a value that does not read counts as not remembered."""

    def __init__(self, file: Path) -> None:
        self._store = QSettings(str(file), QSettings.Format.IniFormat)

    @property
    def system(self) -> UnitSystem:
        """The system of units for display."""
        return UnitSystem.US if self._store.value("system") == UnitSystem.US.name else UnitSystem.SI

    @system.setter
    def system(self, system: UnitSystem) -> None:
        self._store.setValue("system", system.name)

    @property
    def look(self) -> Look:
        """The palette."""
        name = str(self._store.value("look", ""))
        return Look[name] if name in Look.__members__ else Look.SYSTEM

    @look.setter
    def look(self, look: Look) -> None:
        self._store.setValue("look", look.name)

    @property
    def text_size(self) -> int:
        """The size of the text in per cent."""
        text = str(self._store.value("text_size", ""))
        return int(text) if text.isdigit() and int(text) in TEXT_SIZES else TEXT_SIZES[0]

    @text_size.setter
    def text_size(self, percent: int) -> None:
        self._store.setValue("text_size", percent)

    @property
    def recent(self) -> list[Path]:
        """The cases last opened or saved that are still there, the newest first."""
        return [path for path in self._recent() if is_file(path)]

    def _recent(self) -> list[Path]:
        stored = self._store.value("recent", [])
        listed = stored if isinstance(stored, list) else [stored]  # one entry comes back as itself
        return [Path(p) for p in listed if isinstance(p, str) and p]

    def remember(self, path: Path) -> None:
        """Put a case at the head of the recent ones."""
        path = path.resolve()
        kept = [path, *(p for p in self._recent() if p != path)][:MOST_RECENT]
        self._store.setValue("recent", [str(p) for p in kept])

    @property
    def identity(self) -> Path | None:
        """The file of the signing identity last made or brought, while it is there. Its password is never kept."""
        stored = str(self._store.value("identity", ""))
        return Path(stored) if stored and is_file(Path(stored)) else None

    @identity.setter
    def identity(self, path: Path) -> None:
        self._store.setValue("identity", str(path.resolve()))

    @property
    def book(self) -> Path | None:
        """The file of the job book in use."""
        stored = str(self._store.value("book", ""))
        return Path(stored) if stored else None

    @book.setter
    def book(self, path: Path) -> None:
        self._store.setValue("book", str(path.resolve()))

    @property
    def own_rates(self) -> bool:
        """Whether the odds start from the job book's own base rates."""
        return self.book is not None and str(self._store.value("own_rates", "")) == "yes"

    @own_rates.setter
    def own_rates(self, own: bool) -> None:
        self._store.setValue("own_rates", "yes" if own else "no")

    @property
    def own_history(self) -> bool:
        """Whether a vehicle's own healthy record in the job book is what is expected of it."""
        return self.book is not None and str(self._store.value("own_history", "yes")) == "yes"

    @own_history.setter
    def own_history(self, own: bool) -> None:
        self._store.setValue("own_history", "yes" if own else "no")

    @property
    def annexes(self) -> dict[str, str]:
        """The word of the annex that a person last chose, by the word of the kind of report that it stands behind."""
        self._store.beginGroup("annex")
        found = {kind: str(self._store.value(kind, "")) for kind in self._store.childKeys()}
        self._store.endGroup()
        return found

    def remember_annex(self, kind: str, annex: str) -> None:
        """Remember the annex chosen behind a kind of report, by their words."""
        self._store.setValue(f"annex/{kind}", annex)

    @property
    def shop(self) -> ShopProfile:
        """The shop whose letterhead heads the reports."""
        name, contact, logo = (str(self._store.value(f"shop/{key}", "")) for key in ("name", "contact", "logo"))
        return ShopProfile(name, contact, Path(logo) if logo else None)

    @shop.setter
    def shop(self, profile: ShopProfile) -> None:
        self._store.setValue("shop/name", profile.name)
        self._store.setValue("shop/contact", profile.contact)
        self._store.setValue("shop/logo", str(profile.logo.resolve()) if profile.logo else "")

    def columns_of(self, header: tuple[str, ...]) -> dict[str, str]:
        """What a person once said of the columns of a log with this header: a channel's key to its column's name."""
        try:
            found = json.loads(str(self._store.value(f"log_columns/{_digest(header)}", "{}")))
        except ValueError:
            return {}
        return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}

    def remember_columns(self, header: tuple[str, ...], columns: Mapping[str, str]) -> None:
        """Remember what the columns of a log with this header hold."""
        self._store.setValue(f"log_columns/{_digest(header)}", json.dumps(dict(columns)))

    @property
    def geometry(self) -> QByteArray | None:
        """The place of the window, as Qt keeps it."""
        found = self._store.value("geometry")
        return found if isinstance(found, QByteArray) else None

    @geometry.setter
    def geometry(self, place: QByteArray) -> None:
        self._store.setValue("geometry", place)

    @property
    def splitter(self) -> QByteArray | None:
        """How form and results share the window, as Qt keeps it."""
        found = self._store.value("splitter")
        return found if isinstance(found, QByteArray) else None

    @splitter.setter
    def splitter(self, state: QByteArray) -> None:
        self._store.setValue("splitter", state)

    def write(self) -> None:
        """Write to the disk now."""
        self._store.sync()
