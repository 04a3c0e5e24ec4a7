"""The signature library without its network clients.

It imports an HTTP client with itself, whether or not anybody names a server. The modules that do so have nothing that
is used here, so empty ones stand in their place: nothing that could talk with the outside is loaded. The one client
there is, :mod:`reports.servers`, is imported where a server is named.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

CLIENTS: Mapping[str, tuple[str, ...]] = {
    "pyhanko.sign.timestamps.aiohttp_client": ("HTTPTimeStamper",),
    "pyhanko_certvalidator.fetchers.aiohttp_fetchers": ("AIOHttpFetcherBackend",),
}
"""The library's modules that import a network client, and the names that the rest of it wants of each."""


class _NoClient:
    """Stands for a client of the library's; it cannot be made."""

    def __init__(self, *_arguments: object, **_more: object) -> None:
        raise RuntimeError("the library's own network clients are not used")


class _EmptyLoader(Loader):
    def create_module(self, _spec: ModuleSpec) -> ModuleType | None:
        """The usual empty module."""
        return None

    def exec_module(self, module: ModuleType) -> None:
        """Put in what others import from it."""
        for name in CLIENTS[module.__name__]:
            setattr(module, name, _NoClient)


class _NoClients(MetaPathFinder):
    def find_spec(
        self, fullname: str, _path: Sequence[str] | None = None, _target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """An empty module for each that would import a network client."""
        return ModuleSpec(fullname, _EmptyLoader()) if fullname in CLIENTS else None


def keep_clients_out() -> None:
    """From now on the library loads without network clients. To be called before it is imported."""
    if not any(isinstance(one, _NoClients) for one in sys.meta_path):
        sys.meta_path.insert(0, _NoClients())
