"""Pages, figures, signing and verifying; no Qt."""

from reports.without_network import keep_clients_out

keep_clients_out()
