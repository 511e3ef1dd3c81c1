"""Which addresses of a cluster are asked."""

from __future__ import annotations

import pytest

from brief.crew.cluster import safe_address
from brief.errors import InputError


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("tcp://cluster.example:8786", "not encrypted"),
        ("tcp://192.0.2.7:8786", "use tls://192.0.2.7:8786"),
        ("tcp://0.0.0.0:8786", "not encrypted"),
        ("cluster.example:8786", "such as tls://"),
        ("tls://cluster.example", "such as tls://"),
        ("tls://:8786", "such as tls://"),
        ("tls://cluster.example:many", "such as tls://"),
        ("https://cluster.example:8786", "such as tls://"),
        ("", "such as tls://"),
    ],
)
def test_an_address_that_is_not_safe_is_refused(address: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        safe_address(address)


def test_on_this_computer_it_needs_no_tls() -> None:
    assert safe_address("tcp://127.0.0.1:8786") == ("127.0.0.1", 8786)
    assert safe_address("tcp://[::1]:8786") == ("::1", 8786)
    assert safe_address("tcp://localhost:1") == ("localhost", 1)
