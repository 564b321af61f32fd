"""Where the pages may be served, and by which names they answer.

Which networks the internet does not reach: RFC 1918, 3927, 4193, 4291 and 6598.
"""

from __future__ import annotations

from ipaddress import ip_address
from pathlib import Path

import pytest

from gwlog.errors import BadInput
from gwlog.phone import address
from gwlog.phone.address import Place


@pytest.mark.parametrize("typed", ["192.168.1.20", "10.0.0.1", "172.16.0.9", "172.31.255.254", "127.0.0.1", "::1",
                                   "169.254.3.4", "fe80::1", "fd12:3456::7", "[fd12:3456::7]", " 192.168.1.20 ",
                                   "100.64.0.1"])
def test_addresses_of_own_networks_are_served(typed: str) -> None:
    assert address.named(typed) == ip_address(typed.strip().strip("[]"))


@pytest.mark.parametrize(("typed", "said"), [
    ("0.0.0.0", "every address"), ("::", "every address"), ("8.8.8.8", "of the internet"),
    ("172.32.0.1", "of the internet"), ("192.0.2.1", "of the internet"), ("2001:db8::1", "of the internet"),
    ("::ffff:8.8.8.8", "of the internet"), ("100.128.0.1", "of the internet"), ("224.0.0.1", "of the internet"),
    ("washer.local", "is not an address"), ("192.168.1", "is not an address"), ("192.168.1.20:80", "is not an address"),
    ("", "is not an address"), ("\x1b[31m", "is not an address"), (None, "Name this machine's address"),
])
def test_others_are_refused_in_words(typed: str | None, said: str) -> None:
    with pytest.raises(BadInput, match=said) as refused:
        address.named(typed)
    assert "\x1b" not in str(refused.value)
    if said == "of the internet":
        assert "VPN" in str(refused.value.hint)


def test_every_address_is_served_only_where_that_is_said() -> None:
    assert address.named(None, every=True) in address.EVERY
    with pytest.raises(BadInput, match="--every-address already says where"):
        address.named("192.168.1.20", every=True)


@pytest.mark.parametrize("typed", ["", "a b", "-washer", "washer-", "wäscher", "a..b", "192.168.1.20", "x" * 64,
                                   "a/b", "washer:80", "*"])
def test_a_name_that_no_machine_has_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="is not a name of a machine"):
        address.host_name(typed)


@pytest.mark.parametrize(("host", "here", "answered"), [
    ("192.168.1.20:8765", "192.168.1.20", True), ("washer.local:8765", "192.168.1.20", True),
    ("WASHER.local:8765", "192.168.1.20", True), ("192.168.1.20", "192.168.1.20", False),
    ("192.168.1.20:80", "192.168.1.20", False), ("192.168.1.21:8765", "192.168.1.20", False),
    ("elsewhere.example:8765", "192.168.1.20", False), ("washer.local.elsewhere.example:8765", "192.168.1.20", False),
    ("", "192.168.1.20", False), ("3232235796:8765", "192.168.1.20", False), ("192.168.1.20:8765x", "", False),
])
def test_a_request_has_to_mean_this_machine(host: str, here: str, answered: bool) -> None:
    place = Place(ip_address("192.168.1.20"), names=(address.host_name("washer.local."),))
    assert place.answers_to(host, here) is answered


def test_at_every_address_only_the_one_by_which_it_came_is_meant() -> None:
    place = Place(address.EVERY[0], every=True)
    assert place.answers_to("10.0.0.7:8765", "10.0.0.7") and not place.answers_to("10.0.0.8:8765", "10.0.0.7")
    assert not place.answers_to("elsewhere.example:8765", "10.0.0.7")
    assert place.answers_to("10.0.0.7:8765", "::ffff:10.0.0.7") and place.answers_to("[fe80::1]:8765", "fe80::1%eth0")


def test_the_address_is_written_as_a_phone_takes_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert Place(ip_address("192.168.1.20")).url == "http://192.168.1.20:8765/"
    assert Place(ip_address("fd00::5"), 443, secure=True).url == "https://[fd00::5]/"
    assert Place(ip_address("fd00::5"), 80, ("washer.local",)).url == "http://washer.local/"
    assert Place(ip_address("fd00::5"), 80).answers_to("[fd00::5]", "fd00::5")
    monkeypatch.setattr("gwlog.settings.config_folder", lambda: tmp_path)
    assert address.noted("a-b") is None
    address.note("a-b", "http://washer.local/")
    assert address.noted("a-b") == "http://washer.local/" and address.noted("other") is None
    (address.folder("a-b") / "address.json").write_text('{"url": "javascript:alert(1)"}')
    assert address.noted("a-b") is None
    (address.folder("a-b") / "address.json").write_text("[")
    assert address.noted("a-b") is None


@pytest.mark.parametrize(("peer", "own"), [("192.168.1.7", True), ("::ffff:192.168.1.7", True), ("fe80::1%eth0", True),
                                           ("203.0.113.9", False), ("2001:4860::1", False), ("", False)])
def test_what_comes_from_the_internet_is_known_by_its_address(peer: str, own: bool) -> None:
    assert address.is_own_peer(peer) is own
