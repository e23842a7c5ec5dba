"""Quantities as people write them: understood where they mean one thing, asked about where they mean two."""

from __future__ import annotations

from fractions import Fraction

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.app.forms import quantity_input
from loomready.app.models import Record
from loomready.problems import BadQuantity
from loomready.units import GRIST_M_PER_G, LENGTH_M, PER_CM, SHARE, WEIGHT_G, WIDTH_MM, Kind, read
from tests.app.asking import form_of


@pytest.mark.parametrize(
    ("text", "kind", "plain"),
    [
        ("8 1/2 in", WIDTH_MM, "8.5 in"),
        ("8-1/2 in", WIDTH_MM, "8.5 in"),
        ("8½ in", WIDTH_MM, "8.5 in"),
        ("8 ½ in", WIDTH_MM, "8.5 in"),
        ("½ in", WIDTH_MM, "0.5 in"),
        ("1/4 in", WIDTH_MM, "0.25 in"),
        ("8⅓ in", WIDTH_MM, "8.333333 in"),
        ("1 1/2 yd", LENGTH_M, "1.5 yd"),
        ("8 1/2", WIDTH_MM, "8.5 cm"),
        ("8,5 cm", WIDTH_MM, "8.5 cm"),
        ("8,5", WIDTH_MM, "8.5 cm"),
        ("0,125 m", LENGTH_M, "0.125 m"),
        ("12,3456 m", LENGTH_M, "12.3456 m"),
        ("1,234.5 g", WEIGHT_G, "1234.5 g"),
        ("1.234,5 g", WEIGHT_G, "1234.5 g"),
        ("1,234,567 g", WEIGHT_G, "1234567 g"),
        ("1 lb 3 oz", WEIGHT_G, "19 oz"),
        ("1 pound, 3 ounces", WEIGHT_G, "19 oz"),
        ("1 lb 3 1/2 oz", WEIGHT_G, "19.5 oz"),
        ("1lb 3oz", WEIGHT_G, "19 oz"),
        ("4 ft 6 in", LENGTH_M, "54 in"),
        ("4' 6\"", LENGTH_M, "54 in"),
        ("4'6\"", LENGTH_M, "54 in"),
        ("4’ 6½”", LENGTH_M, "54.5 in"),
        ("2 yd 1 ft 3 in", LENGTH_M, "87 in"),
        ("1 m 20 cm", LENGTH_M, "120 cm"),
        ("20IN", WIDTH_MM, "20 in"),
        ("20 In.", WIDTH_MM, "20 in"),
        ("20in", WIDTH_MM, "20 in"),
        ("51cm", WIDTH_MM, "51 cm"),
        ("20.50 in", WIDTH_MM, "20.50 in"),
        ("20", WIDTH_MM, "20 cm"),
        ("3360 yd/lb", GRIST_M_PER_G, "3360 yd/lb"),
        ("80 /10cm", PER_CM, "80 /10cm"),
        ("80 /10 cm", PER_CM, "80 /10 cm"),
        ("24 epi", PER_CM, "24 epi"),
        ("7,5 %", SHARE, "7.5 %"),
    ],
)
def test_what_means_one_thing_becomes_a_plain_decimal(text: str, kind: Kind, plain: str) -> None:
    assert quantity_input.plain(text, kind, "cm") == plain
    if kind is not WEIGHT_G or "cm" not in plain:
        read(plain, kind)


@pytest.mark.parametrize("text", ["1,234 g", "12,500 g", "1,234"])
def test_a_comma_that_may_mean_two_things_is_asked_about(text: str) -> None:
    with pytest.raises(BadQuantity, match="may mean two things; expected 12"):
        quantity_input.plain(text, WEIGHT_G, "g")


@pytest.mark.parametrize(
    "text",
    [
        "9**9 g",
        "1/0 in",
        "8 1/2 1/2 in",
        "3 oz 1 lb",
        "1 lb 20 oz",
        "1.5 lb 3 oz",
        "1 lb 3",
        "1 lb -3 oz",
        "1 in 1 cm",
        "4 in 6 in",
        "wide",
        "1,2,3 g",
        "1..5 g",
        "",
        "12 parsecs",
        "1e3 g",
        "0x10 g",
        "1" * 70,
    ],
)
def test_what_means_nothing_is_left_for_the_guild_file_to_refuse(text: str) -> None:
    assert quantity_input.plain(text, WEIGHT_G, "g") == text
    with pytest.raises(BadQuantity):
        read(text, WEIGHT_G)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 200), st.integers(0, 15), st.sampled_from([2, 4, 8, 16]))
def test_an_inch_rule_reads_back_exactly(whole: int, over: int, under: int) -> None:
    if over >= under:
        over %= under
    made = quantity_input.plain(f"{whole} {over}/{under} in", WIDTH_MM, "in")
    assert Fraction(made.split()[0]) == whole + Fraction(over, under)


@settings(max_examples=80, deadline=None)
@given(
    st.text(alphabet="0123456789 ,.½⅓/'\"-+ftinlbozgcm", max_size=14), st.sampled_from([WIDTH_MM, WEIGHT_G])
)
def test_what_is_understood_is_understood_the_same_again(text: str, kind: Kind) -> None:
    try:
        made = quantity_input.plain(text, kind, kind.us[0])
        again = quantity_input.plain(made, kind, kind.us[0])
    except BadQuantity:
        return
    assert again == made


@pytest.mark.django_db
def test_a_fraction_in_a_form_is_kept_as_a_decimal_and_said(weaver: Client) -> None:
    form = form_of(weaver, "/warps/towels") | {"finished_width": "18 1/2 in"}
    page = weaver.post("/warps/towels", form, headers={"HX-Request": "true"}).content.decode()
    assert "read as 18.5 in" in page
    assert Record.objects.get(kind="warps", key="towels").fields["finished_width"] == "18.5 in"


@pytest.mark.django_db
def test_a_comma_that_may_mean_two_things_is_said_beside_its_field(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    response = weaver.post(address, form_of(weaver, address) | {"gross": "1,234 g"})
    page = response.content.decode()
    assert response.status_code == 422
    assert 'value="1,234 g"' in page
    assert "expected 1234 g or 1.234 g" in page


@pytest.mark.django_db
def test_pounds_and_ounces_are_weighed(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    weaver.post(address, form_of(weaver, address) | {"gross": "7 1/2 oz", "tare": "0 lb 1 oz"})
    kept = Record.objects.get(kind="cones", key="fern-big").fields
    assert (kept["gross"], kept["tare"]) == ("7.5 oz", "1 oz")


@pytest.mark.django_db
def test_a_sample_of_an_unknown_yarn_may_be_laid_out_in_feet_and_inches(weaver: Client) -> None:
    form = {
        "name": "Odd wool",
        "color": "#aabbcc",
        "measured_length": "4 ft 6 in",
        "measured_weight": "2,5 g",
    }
    assert weaver.post("/shelf/new-yarn", form).status_code == 302
    kept = Record.objects.get(kind="yarns", key="odd-wool").fields
    assert kept["measured"] == {"length": "54 in", "weight": "2.5 g"}
