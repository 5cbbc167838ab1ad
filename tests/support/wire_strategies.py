"""Hypothesis strategies for every message that the protocol can spell."""

from hypothesis import strategies as st

from tarewell_protocol import messages as m

U16 = st.integers(0, 0xFFFF)
U32 = st.integers(0, 0xFFFF_FFFF)
SEQ = st.integers(0, 0xFF)
CHANNEL = st.integers(1, m.CHANNELS_MAX)
COUNTS = st.integers(m.COUNTS_MIN, m.COUNTS_MAX)
LEASE_MS = st.integers(1, 0xFFFF)
NAME = st.text("ABCXYZabcxyz0189._-", min_size=1, max_size=16)
FRAME_CHARACTERS = [chr(code) for code in range(0x20, 0x7F) if chr(code) != "*"]
TEXT = st.text(FRAME_CHARACTERS, max_size=20)

RUN = st.builds(
    m.Run,
    CHANNEL,
    st.sampled_from(m.Direction),
    st.integers(1, 255),
    LEASE_MS,
    COUNTS,
    st.integers(1, 999_999),
    st.booleans(),
)
STOP = st.builds(m.Stop, st.none() | CHANNEL) | st.just(m.EmergencyStop())
COMMAND = st.one_of(
    st.builds(m.Hello, U16, st.integers(0, 255)),
    RUN,
    st.builds(m.Keep, LEASE_MS),
    STOP,
    st.builds(m.Show, st.integers(0, 3), TEXT),
    st.sampled_from([m.Clear(), m.AskState(), m.AskStats(), m.AskLimits()]),
)
REQUEST = st.builds(m.Request, SEQ, COMMAND)

ANSWER = st.one_of(
    st.just(m.Done()),
    st.builds(m.Refused, st.sampled_from(m.Refusal)),
    st.builds(
        m.Identity,
        st.just(m.PROTOCOL_VERSION),
        NAME,
        NAME,
        CHANNEL,
        st.integers(1, 1000),
        st.integers(1, m.COUNTS_MAX),
        st.frozensets(st.sampled_from("rvk")),
        st.none() | st.builds("{}x{}".format, st.integers(1, 99), st.integers(1, 99)),
        st.sampled_from(m.ResetCause),
    ),
    st.builds(
        m.OtherVersion, st.integers(0, 255).filter(lambda version: version != m.PROTOCOL_VERSION), NAME
    ),
    st.builds(
        m.BoardState,
        st.frozensets(CHANNEL),
        st.booleans(),
        st.integers(0, m.CHANNELS_MAX),
        st.none() | st.sampled_from(m.StopCause),
        SEQ,
    ),
    st.builds(m.BoardStats, U16, U16, U16, U16, U16, U16, U16),
    st.builds(m.BoardLimits, U16, st.integers(0, 999_999), COUNTS, COUNTS),
)
REPORT = st.one_of(
    st.builds(m.Stopped, CHANNEL, st.sampled_from(m.StopCause), U32, U32),
    st.builds(m.Button, st.sampled_from(m.Press), U32),
    st.builds(m.Knob, st.integers(-127, 127).filter(bool), U32),
    st.builds(m.Booted, st.sampled_from(m.ResetCause)),
)
SAMPLE = st.builds(m.Sample, U32, U16, COUNTS, SEQ, st.booleans(), st.booleans(), st.booleans())
FROM_BOARD = st.one_of(st.builds(m.Reply, SEQ, ANSWER), st.builds(m.Event, SEQ, REPORT), SAMPLE)
