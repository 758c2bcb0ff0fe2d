"""Power-law intensity against NIST, MIL-HDBK-189, surpyval and the fit of late entries."""

import numpy as np
import pytest

from bundler.life.fit import fit
from bundler.life.power_law import mtbf_bounds, power_law
from bundler.life.repaired import Repaired, lives_of_minimal_repair

NIST = Repaired((5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478), 1500)
#: MIL-HDBK-189 (1981), appendix C, watched to 300 h
HANDBOOK = Repaired(
    (
        *(2.6, 16.5, 16.5, 17.0, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73.0, 77.7, 93.9, 95.5, 98.1),
        *(101.1, 132.0, 142.2, 147.7, 149.0, 167.2, 190.7, 193.0, 198.7, 251.9, 282.5, 286.1),
    ),
    300,
)
FLEET = [
    Repaired((4.0, 9.0, 14.0, 17.0, 19.0), 20.0),
    Repaired((16.0, 21.0, 24.5), 25.0, 10.0),
    Repaired((8.0, 11.0), 11.0, 2.0, ends_at_failure=True),
]


def test_nist() -> None:
    """NIST/SEMATECH e-Handbook 8.4.5.2: b 0.483506, a 0.2913003, MTBF at the end 310.234 h, 80 %
    interval 157.7138 to 548.5566 h; plain: 0.5372289, 0.1966582, 279.2106 (computed)."""
    law = power_law([NIST])
    assert law.unbiased_shape_ratio == pytest.approx(0.483506, rel=1e-5)
    assert 10 / 1500**law.unbiased_shape_ratio == pytest.approx(0.2913003, rel=1e-5)
    assert law.unbiased_mtbf_years == pytest.approx(310.234, rel=1e-5)
    assert mtbf_bounds(law, level=0.80) == pytest.approx((157.7138, 548.5566), rel=1e-6)
    assert law.shape_ratio == pytest.approx(0.5372289, rel=1e-7)
    assert law.scale_years**-law.shape_ratio == pytest.approx(0.1966582, rel=1e-6)
    assert law.mtbf_years == pytest.approx(279.2106, rel=1e-6)


def test_handbook() -> None:
    """MIL-HDBK-189 (1981), appendix C, digits from a public benchmark that quotes it: beta
    0.7163392624, lambda 0.4538418614, intensity 0.0644705336, MTBF 15.5109620, unbiased 0.6898082,
    Cramer-von Mises 0.0910611."""
    law = power_law([HANDBOOK])
    assert law.shape_ratio == pytest.approx(0.7163392624, rel=1e-9)
    assert law.scale_years**-law.shape_ratio == pytest.approx(0.4538418614, rel=1e-9)
    assert law.failures_per_year == pytest.approx(0.0644705336, rel=1e-8)
    assert law.mtbf_years == pytest.approx(15.5109620, rel=1e-8)
    assert law.unbiased_shape_ratio == pytest.approx(0.6898082, rel=1e-7)
    assert law.cramer_von_mises_ratio == pytest.approx(0.0910611, rel=1e-6)


def test_staggered_windows_by_the_fit_of_late_entries() -> None:
    """Minimal repair: the Weibull likelihood with entry at the failure before is the same."""
    law = power_law(FLEET)
    made = fit(lives_of_minimal_repair(FLEET), "weibull").parameters
    assert (law.scale_years, law.shape_ratio) == pytest.approx(tuple(made.values()), rel=1e-6)


def test_repairable_systems_by_surpyval() -> None:
    """surpyval 0.25 CrowAMSAA on six systems (Mettas and Zhao 2005), each watched to its own end."""
    surpyval = pytest.importorskip("surpyval")
    table = surpyval.datasets.load_mettas_and_zhao()
    systems = []
    for _, rows in table.groupby("i"):
        failed = rows["x"][rows["c"] == 0]
        systems.append(Repaired(tuple(failed), float(rows["x"].max())))
    made = surpyval.CrowAMSAA.fit(table["x"], i=table["i"], c=table["c"])
    law = power_law(systems)
    assert law.shape_ratio == pytest.approx(float(made.params[1]), rel=1e-4)
    assert law.scale_years == pytest.approx(float(made.params[0]), rel=1e-4)


def test_ends_at_failure() -> None:
    """One system ended by its last of n failures: n / sum ln(T / t), unbiased (n - 2) / sum."""
    ages = (3.0, 7.0, 8.0, 12.0, 15.0)
    law = power_law([Repaired(ages, 15.0, ends_at_failure=True)])
    logs = np.log(15 / np.array(ages)).sum()
    assert law.shape_ratio == pytest.approx(5 / logs, rel=1e-12)
    assert law.unbiased_shape_ratio == pytest.approx(3 / logs, rel=1e-12)


def test_the_unbiased_shape_is_unbiased() -> None:
    """Seeded: shape 1.5, 8 failures in each of 4,000 systems, time ended, given their number."""
    rng = np.random.default_rng(2)
    ages = 10 * rng.uniform(0, 1, (4000, 8)) ** (1 / 1.5)
    found = [power_law([Repaired(tuple(own), 10.0)]).unbiased_shape_ratio for own in ages]
    assert np.mean(found) == pytest.approx(1.5, abs=4 * np.std(found) / np.sqrt(4000))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="needs 3 failures or more"):
        power_law([Repaired((1.0, 2.0), 9.0)])
    with pytest.raises(ValueError, match="needs 3 failures or more"):
        power_law([])
    with pytest.raises(ValueError, match="they all lie at one end"):
        power_law([Repaired((9.0, 9.0, 9.0), 9.0)])
    with pytest.raises(ValueError, match="watched from new to one age"):
        mtbf_bounds(power_law(FLEET))
