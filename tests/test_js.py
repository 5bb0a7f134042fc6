"""The helper that the JavaScript tests stand on."""

import pytest
from py_mini_racer import JSEvalException

from tests.js import engine


def test_numbers_cross_with_every_bit():
    number = 0.1 + 0.2
    assert engine().call("(a) => a * 1", number) == number


def test_large_whole_numbers_stay_doubles():
    assert engine().call("(a) => a * a * a", 664907) == 664907.0 * 664907.0 * 664907.0


def test_text_crosses_whatever_it_holds():
    text = "a'\"\\\u2028</script>µ"
    assert engine().call("(a) => a", text) == text


def test_undefined_is_none_and_errors_are_raised():
    assert engine().call("() => undefined") is None
    with pytest.raises(JSEvalException, match="broken"):
        engine().call("() => { throw new Error('broken'); }")
