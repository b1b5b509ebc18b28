"""READ where this laptop is in its network, for phones that want to reach it. Nothing is sent to find out."""

import socket

_LOOK_S = 0.3


def own_address() -> str:
    """This laptop's address in its local network; empty when it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # a documentation address (RFC 5737): only the way there is asked
            found = str(probe.getsockname()[0])
        except OSError:
            return ""
    return "" if found.startswith("127.") else found


def answers(address: str, port: int) -> bool:
    """True when something listens at this address of this laptop. What a firewall lets in it cannot tell."""
    with socket.socket() as probe:
        probe.settimeout(_LOOK_S)
        return probe.connect_ex((address, port)) == 0
