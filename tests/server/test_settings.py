"""Settings: which source wins, and what is said about wrong ones."""

from pathlib import Path
from typing import Any

import pytest

from tarewell.settings import Settings
from tarewell.settings_sources import SettingsError, load_settings, setting_names


@pytest.fixture(autouse=True)
def clean_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("TAREWELL_CONFIG", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def written(folder: Path, text: str) -> Path:
    file = folder / "bar.toml"
    file.write_text(text)
    return file


def test_options_over_environment_over_file_over_defaults(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = written(
        tmp_path,
        'device = "/dev/file"\nmachine_id = "file"\nport = 1111\n'
        "[scale]\nmax_g = 2000.0\ne_g = 0.2\n[dosing]\nmax_jogs = 5\n",
    )
    monkeypatch.setenv("TAREWELL_MACHINE_ID", "environment")
    monkeypatch.setenv("TAREWELL_PORT", "2222")
    monkeypatch.setenv("TAREWELL_SCALE__E_G", "0.5")
    found = load_settings(file, {"port": 3333, "token": None})
    assert (found.device, found.machine_id, found.port) == ("/dev/file", "environment", 3333)
    assert (found.scale.max_g, found.scale.e_g, found.dosing.max_jogs) == (2000.0, 0.5, 5)
    assert found.database == tmp_path / "data" / "tarewell" / "tarewell.db"
    assert (found.host, found.baud) == ("127.0.0.1", 115200)


def test_what_is_on_by_default_can_be_switched_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = written(tmp_path, 'device = "x"\n[dosing]\nkeep_taste = false\n')
    assert load_settings(file).dosing.keep_taste is False
    monkeypatch.setenv("TAREWELL_DOSING__KEEP_TASTE", "true")
    assert load_settings(file).dosing.keep_taste is True


@pytest.mark.parametrize(
    ("standard_drink", "ethanol_g"),
    # 10 ml at 0.78924 g/ml (OIML R 22); NIAAA: 14 g; the rest as given
    [('"UK"', 7.8924), ('"us"', 14.0), ("12.5", 12.5), ("8", 8.0), ('"10"', 10.0)],
)
def test_a_standard_drink_is_that_of_a_country_or_a_mass(
    tmp_path: Path, standard_drink: str, ethanol_g: float
) -> None:
    file = written(tmp_path, f'device = "x"\n[menu]\nstandard_drink = {standard_drink}\nbarspoon_ml = 5.0\n')
    menu = load_settings(file).menu
    assert menu.standard_drink_g == pytest.approx(ethanol_g, abs=1e-4)
    assert (menu.small.dash_ml, menu.small.barspoon_ml) == (0.92, 5.0)


def test_the_file_named_by_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAREWELL_CONFIG", str(written(tmp_path, 'device = "/dev/named"\n')))
    assert load_settings().device == "/dev/named"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('devise = "x"', "there is no setting devise; did you mean device?"),
        ('device = "x"\n[dosing]\nlease = 3', "no setting dosing.lease; did you mean dosing.lease_ms?"),
        ('device = "x"\nzzzz = 1', "the settings are device, baud"),
        ("scale = 3", r"must be a table, \[scale\]"),
        ("device = ", "is not valid TOML"),
        ("port = 70", "device is not set"),
        ('device = "x"\nport = 70000', "port: Input should be less than or equal to 65535, got 70000"),
        ('device = "x"\nbaud = 9600', "baud: .*115200 or 250000, got 9600"),
        ('device = "socket://a:1"', "device: .*tcp://host:port"),
        ('device = "x"\nmachine_id = "My Bar"', "machine_id: .*got 'My Bar'"),
        ('device = "x"\n[dosing]\naccuracy_class = 0.0', "accuracy_class must be from 0.01 to 10, got 0"),
        ('device = "x"\n[dosing]\nlease_ms = 600', "lease_ms must be from 20 to 480, got 600"),
        ('device = "x"\n[dosing]\nrenew_s = 0.3', "renew_s must be at most half of lease_ms"),
        ('device = "x"\n[dosing]\nmax_feed_s = 1200', "dosing: max_feed_s must be from 1 to 999, got 1200"),
        (
            'device = "x"\n[dosing]\nfine_speed = 300\nstale_s = nan',
            "fine_speed must be from 1 to 255, got 300; stale_s must be from 0.02 to 0.48, got nan",
        ),
        ('device = "x"\n[scale]\nmax_g = 50.0', "max_purge_g must be at most scale.max_g, 50; got 100"),
        ('device = "x"\n[scale]\nmax_g = nan', "max_g must be more than 0"),
        ('device = "x"\n[scale]\nmax_g = "much"', "scale.max_g: .*got 'much'"),
        ('device = "x"\n[menu]\nstandard_drink = "FR"', "menu: standard drinks are known for US, UK"),
        ('device = "x"\n[menu]\nstandard_drink = 0', "menu: a standard drink must be from 1 to 50 g"),
        ('device = "x"\n[menu]\ndash_ml = 30', "menu: the size of a dash must be from 0.05 to 20 ml"),
        (
            'device = "x"\n[guests]\nlimit_standard_drinks = -1',
            "guests: a limit for guests must be from 0 to 100",
        ),
        (
            'device = "x"\n[guests]\nwindow_h = 0',
            "guests: the window for guests must be from 0.1 to 72 h",
        ),
        ('device = "x"\n[menu]\ndash = 1', "no setting menu.dash; did you mean menu.dash_ml?"),
        (
            'device = "x"\nhosts = ["http://bar.example"]',
            "hosts: 'http://bar.example' is not a host; .* without",
        ),
        ('device = "x"\nhosts = ["bar.example:8788"]', "hosts: .* without a port"),
        ('device = "x"\ntoken = ""', "token: it needs 16 or more visible .*secrets.token_urlsafe"),
        ('device = "x"\ntoken = "a"', "token: it needs 16 or more"),
        ('device = "x"\ntoken = "   "', "token: it needs 16 or more"),
        ('device = "x"\ntoken = "fifteen-letters"', "token: it needs 16 or more"),
        ('device = "x"\ntoken = " a-long-random-text"', "no blanks"),
        ('device = "x"\ntoken = "a-long-random-text\\n"', "no blanks"),
        ('device = "x"\ntoken = "ä-lông-rändom-text"', "ASCII"),
        ('device = "x"\nhost = "0.0.0.0"', "can be reached from other computers, so a token is required"),
    ],
)
def test_wrong_settings_are_one_clear_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(SettingsError, match=said) as found:
        load_settings(written(tmp_path, text))
    assert "\n" not in str(found.value).replace("is not valid TOML: ", "")


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="cannot be read: No such file"):
        load_settings(tmp_path / "missing.toml")


def test_other_computers_may_reach_it_with_a_token() -> None:
    options: dict[str, Any] = {"device": "x", "host": "0.0.0.0", "token": "a-long-random-text"}
    found = load_settings(None, options)
    assert "a-long-random-text" not in repr(found)
    for host in ("localhost", "127.0.0.1", "::1"):
        assert load_settings(None, {"device": "x", "host": host}).token is None


def test_names_of_the_daemon_in_file_and_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = written(tmp_path, 'device = "x"\nhosts = ["bar.example", "fd00::7"]\n')
    assert load_settings(file).hosts == ("bar.example", "fd00::7")
    monkeypatch.setenv("TAREWELL_HOSTS", "foyer.example 192.0.2.7")
    assert load_settings(file).hosts == ("foyer.example", "192.0.2.7")


def test_origins_of_other_pages_in_file_and_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = written(
        tmp_path, 'device = "x"\nallowed_origins = ["https://bar.example", "http://[fd00::7]:81"]\n'
    )
    assert load_settings(file).allowed_origins == ("https://bar.example", "http://[fd00::7]:81")
    monkeypatch.setenv("TAREWELL_ALLOWED_ORIGINS", "http://foyer.example:8080 http://192.0.2.7")
    assert load_settings(file).allowed_origins == ("http://foyer.example:8080", "http://192.0.2.7")


@pytest.mark.parametrize(
    "origin",
    [
        "*",
        "null",
        "bar.example",
        "http://bar.example/",
        "http://bar.example/page",
        "http://Bar.example",
        "http://bar.example:80",
        "https://bar.example:443",
        "https://*.example",
        "http://user@bar.example",
        "file://",
        "http://bar.example\n",
    ],
)
def test_what_no_browser_sends_as_an_origin_is_refused(origin: str) -> None:
    with pytest.raises(SettingsError, match=r"allowed_origins: .* is not an origin as browsers send it"):
        load_settings(None, {"device": "x", "allowed_origins": [origin]})


def test_the_name_for_people_is_any_text_on_one_line(tmp_path: Path) -> None:
    found = load_settings(written(tmp_path, 'device = "x"\nname = "Bar „Zur Pause“"\ncurrency = "EUR"\n'))
    assert (found.name, found.currency) == ("Bar „Zur Pause“", "EUR")
    for options in (
        {"name": ""},
        {"name": "a\nb"},
        {"name": "x" * 61},
        {"currency": "€"},
        {"currency": "eur"},
    ):
        with pytest.raises(SettingsError, match=next(iter(options))):
            load_settings(None, {"device": "x", **options})


def test_a_wrong_token_is_not_shown() -> None:
    with pytest.raises(SettingsError) as found:
        load_settings(None, {"device": "x", "token": ["secret-text"]})
    assert "secret-text" not in str(found.value)


def test_every_setting_has_a_name() -> None:
    names = setting_names()
    assert {"device", "scale.max_g", "dosing.accuracy_class"} <= set(names)
    assert {name.split(".")[0] for name in names} == set(Settings.model_fields)
