"""Whom tries are counted by."""

import pytest

from fleet.platform import peers


@pytest.mark.parametrize(
    ("peer", "counted"),
    [
        ("192.0.2.9", "192.0.2.9"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff::", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        ("::ffff:192.0.2.9", "192.0.2.9"),
        ("fe80::1%eth0", "fe80::/64"),
        ("unknown", "unknown"),
        ("", ""),
    ],
)
def test_a_network_of_one_host_is_one_caller(rf, settings, peer, counted):
    settings.BEHIND_PROXY = False

    assert peers.counted_as(rf.get("/", REMOTE_ADDR=peer)) == counted


def test_behind_a_proxy_it_is_the_client_that_is_counted(rf, settings):
    settings.BEHIND_PROXY, settings.PROXY_ADDRESSES = True, ()
    request = rf.get("/", headers={"X-Forwarded-For": "::1, 2001:db8::7"})

    assert peers.counted_as(request) == "2001:db8::/64"
