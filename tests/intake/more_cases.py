"""More files of this folder: several kinds of readings in one, and tables of other shapes."""
# ruff: noqa: E501 - a case reads best in one piece

import json
from datetime import UTC, datetime, timedelta

from tests.intake.writing import PAIRS, bundle, comma, good, iso, local, mg, observation, stamp, table, zipped

PRICKS = [(at, 9.1) for at, _ in PAIRS if at.minute == 30]
BOTH = [*PAIRS, *PRICKS]
OF_BOTH = [specimen for at, _ in PAIRS for specimen in (["", "capillary"] if at.minute == 30 else [""])]
APART = ["capillary" if at.minute == 30 else "interstitial" for at, _ in PAIRS]
CAPILLARY = ["capillary"] * len(PAIRS)


def prick(at: datetime, text: str = "9.1") -> str:
    return text if at.minute == 30 else ""


def ten_after_two(second: int) -> datetime:
    """10 min to 02:00 CEST on 2026-10-25, and so on by 5 min; 03:00 CEST becomes 02:00 CET (IANA time zones)."""
    return datetime(2026, 10, 24, 23, 50, tzinfo=UTC) + timedelta(minutes=5 * second)


GAP = [(ten_after_two(i), 5 + i / 10) for i in (*range(6), *range(19, 29))]

KINDS = [
    good("sensor_and_finger.csv", table("time,sensor glucose,finger-prick glucose\n", lambda at, v:
         f"{stamp(at)},{v},{prick(at)}"), BOTH, specimens=OF_BOTH, warns=["kept apart"]),
    good("sensor_and_finger_units.csv", table("Zeit;Gewebezucker mmol/l;Blutzucker mg/dl\n", lambda at, v:
         f"{at:%d.%m.%Y %H:%M};{comma(v)};{prick(at, mg(9.1))}"), BOTH,
         specimens=[each and "blood" for each in OF_BOTH]),
    good("finger_rows_of_their_own.csv", table("time,CGM,capillary\n", lambda at, v:
         f"{stamp(at)},{'' if prick(at) else v},{v if prick(at) else ''}"),
         specimens=[each if each == "capillary" else "" for each in APART]),
    good("kind_of_row.csv", table("time,source,mmol/L\n", lambda at, v:
         f"{stamp(at)},{'finger-prick' if prick(at) else 'sensor'},{v}"), specimens=APART),
    good("finger_only.csv", table("time,finger-prick mmol/L\n", lambda at, v: f"{stamp(at)},{v}"), specimens=CAPILLARY),
    good("finger_marker.csv", table("time,sensor mmol/L,fingerstick mmol/L\n", lambda at, v:
         f"{stamp(at)},{v},{'HI' if v == 8.2 else ''}"), limits=[[iso(PAIRS[4][0]), "high limit"]],
         specimens=[""] * len(PAIRS)),
    good("pulse_among_the_rows.csv", table("time,type,value\n", lambda at, v:
         f"{stamp(at)},glucose,{mg(v)}\n{stamp(at)},heart rate,66"), skipped=12, problems=["“heart rate” is not glucose"]),
    good("pulse_by_its_unit.csv", table("time,value,unit\n", lambda at, v:
         f"{stamp(at)},{mg(v)},mg/dL\n{stamp(at)},66,bpm"), skipped=12, problems=["“bpm” is no unit of glucose"]),
    good("finger_in_a_note.csv", table("time,glucose,note\n", lambda at, v:
         f"{stamp(at)},{v},{'finger-prick said 9.1' if v == 8.2 else ''}")),
    good("lists_by_kind.json", json.dumps({
        "sensor": [{"t": at.isoformat(), "glucose": v} for at, v in PAIRS],
        "fingerpricks": [{"t": at.isoformat(), "glucose": v} for at, v in PRICKS]}), BOTH, specimens=OF_BOTH),
    good("members_by_kind.zip", zipped({
        "sensor.csv": table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}"),
        "capillary.csv": table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}", PRICKS)}), BOTH, specimens=OF_BOTH),
    good("specimens_by_reference.json", json.dumps({"resourceType": "Bundle", "type": "collection", "entry": [
        {"fullUrl": "urn:uuid:0c1", "resource": {"resourceType": "Specimen", "type": {"text": "Capillary blood"}}},
        *({"resource": observation(at, v, "mmol/L", "15074-8", specimen={"reference": "urn:uuid:0c1"})} for at, v in PAIRS[:6]),
        *({"resource": observation(at, v, "mmol/L", "15074-8", specimen={"reference": "#s"}, contained=[
            {"resourceType": "Specimen", "id": "s", "type": {"coding": [{"display": "Capillary blood specimen"}]}}])}
          for at, v in PAIRS[6:])]}), specimens=CAPILLARY),
]  # fmt: skip

SHAPES = [
    good("days_across.csv", "time,2026-03-12,2026-03-13,2026-03-14\n22:30,5.4,,5.1\n22:45,5.6,6.2,\n", [
        (PAIRS[0][0], 5.4), (PAIRS[1][0], 5.6), (PAIRS[1][0] + timedelta(days=1), 6.2), (PAIRS[0][0] + timedelta(days=2), 5.1)]),
    good("hours_across.csv", "Glukose mg/dl\n\nDatum;21:30;22:30;23:30\n12.03.2026;97;99;102\n13.03.2026;110;;88\n", [
        (PAIRS[0][0] + timedelta(hours=h), v / 18.0182) for h, v in ((-1, 97), (0, 99), (1, 102), (23, 110), (25, 88))]),
    good("pulse_across.json", json.dumps([{"date": "2026-03-12", "22:30": 5.4, "22:45": 5.6, "23:00": 6.1}]), PAIRS[:3]),
    good("day_named_once.csv", table("date,time,glucose\n", lambda at, v:
         f"{f'{at:%Y-%m-%d}' if stamp(at)[11:] in ('22:30', '00:00') else ''},{at:%H:%M},{v}"),
         warns=["rows without a day"]),
    good("day_never_named_again.csv", table("date,time,glucose\n", lambda at, v:
         f"{f'{at:%Y-%m-%d}' if stamp(at)[11:] == '22:30' else ''},{at:%H:%M},{v}"), PAIRS[:6], skipped=6),
    good("hours_with_h.csv", table("Jour;Heure;Glucose\n", lambda at, v: f"{at:%d/%m/%Y};{at:%Hh%M};{comma(v)}")),
    good("long_last_rows.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}{',x,y,z' if at.minute else ''}")),
    good("arrows.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}{' ↗' if v > 6 else ''}")),
    good("both_sizes.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v if at.minute else mg(v)}"),
         warns=["9 in mmol/L and 3 in mg/dL"]),
    good("hour_twice_with_a_gap.csv", table("time,mmol/L\n", lambda at, v: f"{stamp(at)},{v}", GAP), GAP),
    good("hour_twice_newest_first.csv", table("time,mmol/L\n", lambda at, v: f"{stamp(at)},{v}", GAP[::-1]), GAP),
    good("by_key.json", json.dumps({"export": {f"r{i}": {"timestamp": int(at.timestamp()), "glucose": v} for i, (at, v) in
         enumerate(PAIRS)}})),
    good("columns_by_row.json", json.dumps({"time": {str(i): at.isoformat() for i, (at, _) in enumerate(PAIRS)},
         "glucose": {str(i): v for i, (_, v) in enumerate(PAIRS)}})),
    good("days_and_clocks.json", json.dumps({day: {f"{local(at):%H:%M}": v for at, v in PAIRS if stamp(local(at))[:10] == day}
         for day in ("2026-03-12", "2026-03-13")})),
    good("lists_by_day.json", json.dumps({day: [{"time": f"{local(at):%H:%M}", "glucose": v} for at, v in PAIRS
         if stamp(local(at))[:10] == day] for day in ("2026-03-12", "2026-03-13")})),
    good("samples.json", json.dumps({"resourceType": "Observation", "status": "final", "code": {"text": "Glucose"},
         "effectivePeriod": {"start": PAIRS[0][0].isoformat(), "end": PAIRS[-1][0].isoformat()}, "valueSampledData": {
             "origin": {"value": 1, "unit": "mmol/L"}, "factor": 0.1, "period": 900_000, "dimensions": 1,
             "data": " ".join({5.4: "L", 5.6: "E"}.get(v, f"{(v - 1) * 10:.0f}") for _, v in PAIRS)}}), PAIRS[2:],
         limits=[[iso(PAIRS[0][0]), "low limit"]], skipped=1, problems=["marked as an error"]),
    good("spans.json", json.dumps(bundle([
        *(observation(at, v, "mmol/L", "105272-9", effectiveDateTime=None, effectivePeriod={
            "start": at.isoformat(), "end": (at + timedelta(minutes=5)).isoformat()}) for at, v in PAIRS),
        observation(PAIRS[0][0], 6.6, "mmol/L", "105272-9", effectiveDateTime=None, effectivePeriod={
            "start": PAIRS[0][0].isoformat(), "end": PAIRS[-1][0].isoformat()})])), skipped=1,
         specimens=["interstitial"] * 12, problems=["a span of time"]),
    good("no_unit.json", json.dumps(bundle([observation(at, None, "", "105272-9", valueQuantity={"value": int(mg(v))})
         for at, v in PAIRS])), unit="mg/dL", specimens=["interstitial"] * 12, warns=["judged by their size"]),
]  # fmt: skip
