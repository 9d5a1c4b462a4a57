"""The words that people write in their cells for kinds, classes, results and states. Only exact ones are taken."""

from typing import Final

from register.domain.words import Delay, Duty, Kind, Result, SetUp, SwitchType, Waveform

PSS, FSS = Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH

KINDS: Final[dict[str, tuple[str, ...]]] = {
    PSS: (
        "portable safety switch", "portable rcd", "prcd", "p rcd", "rcd portable", "safety switch portable",
        "n way prcd", "prcd n way", "n way portable rcd", "portable rcd n way", "in line rcd", "inline rcd",
        "plug in rcd", "rcd plug in", "prcd s",
    ),
    FSS: (
        "fixed safety switch", "fixed rcd", "rcd fixed", "f rcd", "frcd", "rcd in board", "safety switch fixed",
        "switchboard rcd", "rcd switchboard", "safety switch in board", "rcbo",
    ),
    Kind.APPLIANCE_CLASS_1: (
        "appliance class 1", "class 1", "class i", "appliance class i", "class 1 appliance", "class i appliance",
        "cl 1", "cl i", "app cl i", "app cl 1", "appliance cl i", "appliance cl 1", "cl1", "class1",
        "earthed appliance", "appliance earthed", "earthed", "c1",
    ),
    Kind.APPLIANCE_CLASS_2: (
        "appliance class 2", "class 2", "class ii", "appliance class ii", "class 2 appliance", "class ii appliance",
        "cl 2", "cl ii", "app cl ii", "app cl 2", "appliance cl ii", "appliance cl 2", "cl2", "class2",
        "double insulated", "double insulated appliance", "appliance double insulated", "di", "d i", "c2",
    ),
    Kind.CORD_SET: (
        "cord set", "cordset", "cord sets", "iec lead", "iec cord", "iec cord set", "appliance lead", "appliance cord",
        "detachable cord", "detachable cord set", "kettle cord", "kettle lead", "power cord detachable",
    ),
    Kind.EXTENSION_LEAD: (
        "extension lead", "extension leads", "ext lead", "extension cord", "ext cord", "extension set", "ext set",
        "extension", "ext", "cord extension set", "extension lead reel", "cable reel",
    ),
    Kind.PORTABLE_OUTLET_DEVICE: (
        "portable outlet device", "power board", "powerboard", "power boards", "epod", "pod", "outlet board",
        "portable outlet board", "n way board", "n way power board", "n way outlet board", "power board n way",
        "outlet board n way", "n way powerboard", "n way epod", "multi outlet board", "multi way board",
    ),
    Kind.ISOLATING_TRANSFORMER: (
        "isolating transformer", "isolation transformer", "iso transformer", "iso trans", "iso tx",
        "isolating transformers", "portable isolating transformer",
    ),
}  # fmt: skip

ENVIRONMENTS: Final[dict[str, tuple[str, ...]]] = {
    "workshop": ("workshops", "factory", "factory workshop", "workshop or factory", "factories and workshops",
                 "production", "production area"),
    "flexed-or-hostile": (
        "hostile", "flexed", "hostile or flexed", "flexed hostile", "hostile flexed", "hostile environment",
        "hostile area", "flexed in use", "harsh", "harsh environment",
    ),
    "benign": ("benign environment", "not hostile", "non hostile", "neither flexed nor hostile"),
    "residential": ("residential type", "residential area", "residential type area"),
    "cleaning": ("cleaning equipment", "commercial cleaning", "commercial cleaning equipment", "cleaners"),
    "hire": ("hire equipment", "for hire", "hired equipment", "hire item"),
    "construction": (
        "construction site", "building site", "construction or demolition", "construction and demolition",
        "demolition", "construction demolition",
    ),
}  # fmt: skip
"""Other words for classes, by the class that they mean. A rulebook's own ids and these are taken, no others."""

RESULTS: Final[dict[str, tuple[str, ...]]] = {
    Result.PASS: ("passed", "p", "ok", "okay", "✓", "✔", "☑", "passes", "test passed", "good", "fine", "satisfactory"),
    Result.FAIL: ("failed", "f", "not ok", "✗", "✘", "☒", "fails", "test failed", "not passed", "unsatisfactory"),
    Result.INCOMPLETE: ("not complete", "not completed", "part tested", "unfinished"),
}

LOOKS: Final[dict[str, tuple[str, ...]]] = {
    Result.PASS: (*RESULTS[Result.PASS], "sound", "no damage", "undamaged"),
    Result.FAIL: (*RESULTS[Result.FAIL], "bad", "damaged", "damage", "not good"),
}

STANDINGS: Final[dict[str, tuple[str, ...]]] = {
    "in-use": ("active", "in service", "current", "used", "ok", "yes", "live"),
    "new": ("new to service", "new item", "brand new"),
    "repaired": ("after repair", "repaired awaiting test"),
    "stored": ("spare", "in store", "store", "storage", "in storage", "put away", "not in use"),
    "out-of-scope": ("not in scope", "exempt"),
    "out-of-service": (
        "oos", "out", "blocked", "withdrawn", "quarantine", "quarantined", "do not use", "tagged out", "defective",
        "faulty", "failed",
    ),
    "removed": (
        "disposed", "disposed of", "scrapped", "scrap", "retired", "thrown out", "thrown away", "binned", "discarded",
        "removed for good", "gone",
    ),
    "not-found": ("missing", "lost", "not seen", "not sighted", "not located", "nf"),
}  # fmt: skip

SWITCH_TYPES: Final[dict[str, tuple[str, ...]]] = {
    SwitchType.I: ("type i", "type 1", "1"),
    SwitchType.II: ("type ii", "type 2", "2"),
    SwitchType.III: ("type iii", "type 3", "3"),
    SwitchType.IV: ("type iv", "type 4", "4"),
    SwitchType.IEC: ("iec 61540", "iec 61008", "iec 61009", "iec general"),
}

WAVEFORMS: Final[dict[str, tuple[str, ...]]] = {
    Waveform.AC: ("type ac",),
    Waveform.A: ("type a",),
    Waveform.F: ("type f",),
    Waveform.B: ("type b",),
}

DELAYS: Final[dict[str, tuple[str, ...]]] = {
    Delay.SELECTIVE: ("s", "delayed", "time delayed", "time delay", "type s", "s type", "yes"),
    Delay.GENERAL: ("g", "none", "no delay", "instantaneous", "instant", "not delayed", "no"),
}

YES_NO: Final[dict[str, tuple[str, ...]]] = {
    "yes": ("y", "true", "✓", "✔", "☑", "1"),
    "no": ("n", "false", "✗", "✘", "☒", "0"),
}

WORK: Final[dict[str, tuple[str, ...]]] = {
    Duty.INSPECTION_AND_TEST: (
        "inspection and test", "inspect and test", "inspection test", "test and tag", "t t", "test tag", "tag and test",
        "electrical test", "electrical safety test", "appliance test", "insulation", "earth and insulation",
        "full test", "tagging",
    ),
    Duty.OPERATING_TIME: (
        "operating time", "operating time test", "op time", "rcd", "rcd test", "rcd time", "rcd time test", "trip test",
        "trip time", "trip time test", "rcd trip test", "rcd trip time", "safety switch test", "trip",
        "rcd operating time",
    ),
    Duty.FORMAL_VISUAL: ("formal visual", "formal visual check", "visual", "visual only", "visual check", "look only"),
    Duty.BUTTON_PRESS: (
        "button press", "button", "push button", "push button test", "pushbutton", "pushbutton test", "test button",
        "test button press", "button test",
    ),
}  # fmt: skip

SET_UPS: Final[dict[str, tuple[str, ...]]] = {
    SetUp.TESTER_FEEDS_DEVICE: ("return lead", "device in tester"),
    SetUp.DEVICE_FEEDS_TESTER: ("isolating transformer", "iso transformer", "tester in device"),
}

APPLIANCE_CLASSES: Final[dict[str, tuple[str, ...]]] = {
    Kind.APPLIANCE_CLASS_1: ("i", "1", *KINDS[Kind.APPLIANCE_CLASS_1]),
    Kind.APPLIANCE_CLASS_2: ("ii", "2", *KINDS[Kind.APPLIANCE_CLASS_2]),
}
PLAIN_APPLIANCES: Final = frozenset({"appliance", "appliances", "app", "tool", "equipment", "portable appliance"})
"""Kinds that say nothing without the appliance class beside them."""
