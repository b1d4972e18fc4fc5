"""Both languages say the same things, and a text travels with its key."""

import json
import pickle
import string

import pytest

from nextpass.words import LANGUAGES, from_data, keys, number, phrase, signed, text, to_data, translated


def placeholders(template):
    return sorted({name for _, name, _, _ in string.Formatter().parse(template) if name})


@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_every_language_has_every_key(language):
    assert keys(language) == keys("en")


@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_a_translation_fills_the_same_placeholders(language):
    differing = {key for key in keys("en") if placeholders(text(key, "en")) != placeholders(text(key, language))}
    assert differing == set()


def words_of(template):
    """What a template says itself, without what is put into it."""
    return "".join(literal for literal, *_ in string.Formatter().parse(template)).split()


def test_german_is_not_english_left_over():
    same = {key for key in keys("en") if text(key, "en") == text(key, "de") and len(words_of(text(key, "en"))) > 1}
    assert same == set()


def test_an_unknown_key_is_a_fault():
    with pytest.raises(KeyError, match=r"no\.such\.key"):
        text("no.such.key")


def test_an_unknown_language_is_a_fault():
    with pytest.raises(KeyError, match="tlh"):
        text("gear.nth", "tlh", gear=3)


def test_a_phrase_is_its_english_text_and_can_be_said_in_german():
    third = phrase("gear.nth", gear=3)
    assert third == "gear 3"
    assert translated(third, "de") == "3. Gang"


def test_a_phrase_survives_the_way_to_a_worker_process():
    third = pickle.loads(pickle.dumps(phrase("gear.nth", gear=3)))
    assert translated(third, "de") == "3. Gang"


def test_the_users_own_words_are_not_translated():
    assert translated("second lane, cloud cover", "de") == "second lane, cloud cover"


@pytest.mark.parametrize(
    ("value", "decimals", "language", "shown"),
    [
        (10.984, 2, "en", "10.98"),
        (10.984, 2, "de", "10,98"),
        (-0.5, 1, "en", "−0.5"),
        (-0.001, 2, "en", "0.00"),
        (float("nan"), 2, "en", "–"),
        (1234567.0, 0, "de", "1234567"),
    ],
)
def test_a_figure_is_written_as_the_language_writes_it(value, decimals, language, shown):
    assert number(value, decimals, language) == shown


@pytest.mark.parametrize(("value", "shown"), [(25.0, "+25"), (-25.0, "−25"), (0.2, "±0"), (float("nan"), "–")])
def test_a_change_says_its_sign(value, shown):
    assert signed(value) == shown


@pytest.mark.parametrize(
    ("said", "german"),
    [
        (
            phrase("log.quality.clipped", column="a.b 1.5", top=250.5, start_s=1.25, end_s=2.0),
            "'a.b 1.5' liegt von 1,25 bis 2,00 s bei 250,5: das Ende des Messbereichs, nicht der wahre Wert",
        ),
        # The plan rounds its figures before it puts them into words.
        (
            phrase("plan.why.launch_harder", gain="0.12"),
            "Der Start lässt Haftung ungenutzt; mit dem ganzen Plan gewinnen die 60 ft 0,12 s.",
        ),
        # What is copied into a car or pass file must be read there again.
        (phrase("refusal.value.span", low=0.5, high=2.5, unit=" m"), "0.5 bis 2.5 m"),
    ],
)
def test_figures_in_a_german_text_carry_a_comma_but_not_what_a_file_takes(said, german):
    assert translated(said, "de") == german


def test_figures_in_an_english_text_stay_as_they_are():
    said = phrase("log.quality.slower", rate_hz=23.8, names=phrase("channel.gear"), shows="")
    assert said.startswith("sampled at 23.8 Hz only")


def test_a_phrase_comes_back_from_what_is_kept_of_it():
    inner = phrase("gear.nth", gear=3)
    whole = phrase("log.and", first=inner, second="the user's own words")
    back = from_data(json.loads(json.dumps(to_data(whole))))
    assert back == whole
    assert translated(back, "de").startswith("3. Gang")
    assert from_data(to_data("second lane")) == "second lane"
