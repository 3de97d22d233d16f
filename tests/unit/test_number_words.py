from __future__ import annotations

import pytest

from placardry.number_words import in_digits
from placardry.spoken import spoken_quantities


@pytest.mark.parametrize(
    ("said", "digits"),
    [
        ("twelve hundred degrees", "1200 degrees"),
        ("seven point four volts", "7.4 volts"),
        ("a hundred and ninety", "190"),
        ("minus five", "-5"),
        ("half an hour, a half hour", "0.5 hour, 0.5 hour"),
        ("an hour and a half", "1.5 hour and a half"),
        ("two and a half litres, 2 and a half hours", "2.5 litres, 2.5 hours"),
        ("three quarters of an hour, a quarter of a turn", "0.75 hour, 0.25 turn"),
        ("one third of a turn", "1/3 turn"),
        ("seven thousand four hundred, seventy-four hundred", "7400, 7400"),
        ("seven four zero zero, one two one point five", "7400, 121.5"),
        ("twelve fifty, six forty", "1250, 640"),
        ("between one hundred and two hundred metres", "between 100 and 200 metres"),
        ("three to five minutes", "3 to 5 minutes"),
        ("1.5 million miles", "1500000 miles"),
        ("one oh five degrees, two oh my, one point oh two", "105 degrees, 2 oh my, 1.02"),
        ("every hundred hours, several hundred hours", "every 100 hours, several hundred hours"),
        ("give it a quarter turn, a third time", "give it 0.25 turn, a third time"),
        ("point two metres, at that point two left", "0.2 metres, at that point 2 left"),
        ("one, two", "1, 2"),
        ("a minute, a point, I have 45 and 50", "a minute, a point, I have 45 and 50"),
    ],
)  # fmt: skip
def test_english(said: str, digits: str) -> None:
    assert in_digits(said).text == digits


@pytest.mark.parametrize(
    ("said", "digits"),
    [
        ("siebentausendvierhundert Umdrehungen", "7400 Umdrehungen"),
        ("sieben Komma vier Volt", "7,4 Volt"),
        ("eine halbe Stunde, anderthalb Stunden", "0,5 Stunde, 1,5 Stunden"),
        ("minus fünf, einundzwanzig, hundertneunzig", "-5, 21, 190"),
        ("zweieinhalb Liter, fünf bis sechs Minuten", "2,5 Liter, 5 bis 6 Minuten"),
        ("eine Minute, ein Liter, tausend Meter", "eine Minute, ein Liter, 1000 Meter"),
        ("zwei hundert zwölf, sechs und sechzig, fünf sechs", "212, 66, 5 6"),
        ("zweihundert-zwölf Grad, fünf und zehn", "212 Grad, 5 und 10"),
        ("neunzig Komma vier Millionen, eine Million", "90400000, 1000000"),
        ("ein ein halb, ein Viertel Liter", "1,5, 0,25 Liter"),
    ],
)
def test_german(said: str, digits: str) -> None:
    assert in_digits(said, "de").text == digits


@pytest.mark.parametrize(
    "word",
    ["minus ", "minus negative ", "one ", "one hundred and ", "hundert", "thousand ", "a half "],
)
@pytest.mark.parametrize("language", ["en", "de"])
def test_no_text_is_too_long(word: str, language: str) -> None:
    assert in_digits(word * 3000, language).text


@pytest.mark.parametrize(
    ("language", "said", "found"),
    [
        (
            "en",
            "between twenty and, uh, thirty rpm",
            ("twenty and, uh, thirty rpm", "20 and 30 rpm"),
        ),
        ("en", "two, er, hundred volts", ("two, er, hundred volts", "200 volts")),
        ("en", "NEVER ABOVE TWO HUNDRED DEGREES", ("TWO HUNDRED DEGREES", "200 degrees")),
        (
            "en",
            "sixty-five degrees fahrenheit",
            ("sixty-five degrees fahrenheit", "65 degrees Fahrenheit"),
        ),
        ("en", "one fifty c c", ("one fifty c c", "150 cc")),
        ("en", "two kilo watts", ("two kilo watts", "2 kilowatts")),
        ("en", "two kilo watt hours", None),
        ("en", "mix it one to forty-five.", ("one to forty-five", "1:45")),
        ("en", "geared two point seven to one", ("two point seven to one", "2.7:1")),
        ("en", "from one to forty-five, one to five", None),
        ("en", "one to forty-five volts", ("one to forty-five volts", "1 to 45 volts")),
        ("de", "eins zu fünfzig", ("eins zu fünfzig", "1:50")),
        (
            "de",
            "zwei hundert umdrehungen pro minute",
            ("zwei hundert umdrehungen pro minute", "200 Umdrehungen pro Minute"),
        ),
        ("de", "wartet eine Viertelstunde", ("eine Viertelstunde", "0,25 Stunde")),
        ("de", "eine Vierteldrehung", ("eine Vierteldrehung", "0,25 Umdrehung")),
        ("de", "1,1 bar, ähm, Überdruck", ("1,1 bar", "1,1 bar")),
    ],
)
def test_transcripts(language: str, said: str, found: tuple[str, str] | None) -> None:
    read = [(one.text, str(one.figure)) for one in spoken_quantities(said, language)]
    assert read == ([found] if found else [])


def test_a_figure_is_found_where_it_was_said() -> None:
    text = "at twelve\nhundred degrees, then seventy-four hundred rpm for three to five minutes"
    found = list(spoken_quantities(text))
    assert [one.text for one in found] == [
        "twelve\nhundred degrees",
        "seventy-four hundred rpm",
        "three to five minutes",
    ]
    assert all(text[one.start : one.end] == one.text for one in found)
