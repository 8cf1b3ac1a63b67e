//! How the values that many kinds share are spelled: lengths, valves, hours, lists, things that may
//! be absent.

use crate::domain::entry::{
    CounterTold, Figure, Hours, KnownPart, ReadingUnit, Rocked, Rounds, Tick, Tolerance,
};
use crate::domain::profile::Source;
use crate::domain::units::{Length, LengthUnit, Temperature};
use crate::domain::valve::{Cylinder, Kind, Valve};
use serde::{Deserialize, Serialize};

/// A length: a whole number of nanometres, within ten metres so that sums can never overflow.
pub mod nm {
    use crate::domain::units::Length;
    use serde::{Deserialize, Deserializer, Serializer, de, ser};

    const MOST_NM: i64 = 10_000_000_000;

    /// Writes whole nanometres.
    pub fn serialize<S: Serializer>(length: &Length, serializer: S) -> Result<S::Ok, S::Error> {
        if length.nm().abs() > MOST_NM {
            return Err(ser::Error::custom("a length is over ten metres"));
        }
        serializer.serialize_i64(length.nm())
    }

    /// Reads whole nanometres.
    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Length, D::Error> {
        let nm = i64::deserialize(deserializer)?;
        if nm.checked_abs().is_none_or(|nm| nm > MOST_NM) {
            return Err(de::Error::custom("a length is over ten metres"));
        }
        Ok(Length::from_nm(nm))
    }
}

/// Makes a module for a whole number within limits, wide enough for all that is real and so narrow
/// that sums can never overflow.
macro_rules! within {
    ($module:ident, $number:ty, $least:expr, $most:expr, $what:literal) => {
        pub mod $module {
            use serde::{Deserialize, Deserializer, Serializer, de, ser};

            const LEAST: $number = $least;
            const MOST: $number = $most;

            fn over() -> String {
                format!("{} must lie between {LEAST} and {MOST}", $what)
            }

            pub fn serialize<S: Serializer>(
                value: &$number,
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                if !(LEAST..=MOST).contains(value) {
                    return Err(ser::Error::custom(over()));
                }
                serde::Serialize::serialize(value, serializer)
            }

            pub fn deserialize<'de, D: Deserializer<'de>>(
                deserializer: D,
            ) -> Result<$number, D::Error> {
                let value = <$number>::deserialize(deserializer)?;
                if (LEAST..=MOST).contains(&value) {
                    Ok(value)
                } else {
                    Err(de::Error::custom(over()))
                }
            }
        }
    };
}

within!(count, u32, 0, 9_999, "a count");
within!(tries, u32, 0, 99, "tries");
within!(place, usize, 0, 9_999, "the place of a stop");
within!(hundredths, i64, 0, crate::domain::units::MOST_HUNDREDTHS, "hundredths of an hour");
within!(milli_c, i32, -1_000_000, 1_000_000, "thousandths of a degree");

#[derive(Serialize, Deserialize)]
#[serde(remote = "LengthUnit")]
pub enum UnitWire {
    #[serde(rename = "mm")]
    Mm,
    #[serde(rename = "in")]
    Inch,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ReadingUnit")]
pub enum ReadingUnitWire {
    #[serde(rename = "mm")]
    Mm,
    #[serde(rename = "hundredths")]
    Hundredths,
    #[serde(rename = "thou")]
    Thou,
    #[serde(rename = "in")]
    Inch,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Temperature")]
pub struct TemperatureWire(#[serde(with = "milli_c")] i32);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Hours")]
pub struct HoursWire(#[serde(with = "hundredths")] i64);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Kind", rename_all = "snake_case")]
pub enum KindWire {
    Intake,
    Exhaust,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Valve")]
pub struct ValveWire {
    cylinder: Cylinder,
    #[serde(with = "KindWire")]
    kind: Kind,
    number: u8,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Source")]
pub struct SourceWire {
    document: String,
    revision: String,
    page: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Tolerance")]
pub struct ToleranceWire {
    #[serde(rename = "plus_minus_nm", with = "nm")]
    plus_minus: Length,
    source: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Rounds", rename_all = "snake_case")]
pub enum RoundsWire {
    SetThenRecheck,
    SurveySetRecheck,
    SurveyOnly,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "KnownPart")]
pub struct KnownPartWire {
    #[serde(with = "ValveWire")]
    valve: Valve,
    #[serde(rename = "size_nm", with = "nm")]
    size: Length,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Figure", rename_all = "snake_case")]
pub enum FigureWire {
    Target,
    Least,
    Most,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Rocked", rename_all = "snake_case")]
pub enum RockedWire {
    Steady,
    Moved,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Tick", rename_all = "snake_case")]
pub enum TickWire {
    Pad,
    Bush,
    Spring,
    Rod,
    Oil,
    Gasket,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "CounterTold", rename_all = "snake_case")]
pub enum CounterToldWire {
    WentUp(#[serde(with = "HoursWire")] Hours),
    Replaced(#[serde(with = "HoursWire")] Hours),
    PutRight {
        #[serde(with = "HoursWire")]
        from: Hours,
        #[serde(with = "HoursWire")]
        to: Hours,
    },
}

/// Makes a module for a member that may be absent, spelled by `$wire` where it is there.
macro_rules! optional {
    ($module:ident, $wire:literal, $domain:ty) => {
        pub mod $module {
            use super::*;
            use serde::{Deserializer, Serializer};

            #[derive(Serialize)]
            struct Shown<'a>(#[serde(with = $wire)] &'a $domain);
            #[derive(Deserialize)]
            struct Read(#[serde(with = $wire)] $domain);

            pub fn serialize<S: Serializer>(
                value: &Option<$domain>,
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                value.as_ref().map(Shown).serialize(serializer)
            }

            pub fn deserialize<'de, D: Deserializer<'de>>(
                deserializer: D,
            ) -> Result<Option<$domain>, D::Error> {
                Ok(Option::<Read>::deserialize(deserializer)?.map(|read| read.0))
            }
        }
    };
}

/// Makes a module for a list of what `$wire` spells.
macro_rules! list {
    ($module:ident, $wire:literal, $domain:ty) => {
        pub mod $module {
            use super::*;
            use serde::{Deserializer, Serializer};

            #[derive(Serialize)]
            struct Shown<'a>(#[serde(with = $wire)] &'a $domain);
            #[derive(Deserialize)]
            struct Read(#[serde(with = $wire)] $domain);

            pub fn serialize<S: Serializer>(
                values: &[$domain],
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                serializer.collect_seq(values.iter().map(Shown))
            }

            pub fn deserialize<'de, D: Deserializer<'de>>(
                deserializer: D,
            ) -> Result<Vec<$domain>, D::Error> {
                let read = Vec::<Read>::deserialize(deserializer)?;
                Ok(read.into_iter().map(|read| read.0).collect())
            }
        }
    };
}

optional!(count_option, "count", u32);
optional!(nm_option, "nm", Length);
optional!(hours_option, "HoursWire", Hours);
optional!(counter_option, "CounterToldWire", CounterTold);
optional!(temperature_option, "TemperatureWire", Temperature);
optional!(valve_option, "ValveWire", Valve);
optional!(source_option, "SourceWire", Source);
optional!(tolerance_option, "ToleranceWire", Tolerance);
optional!(rounds_option, "RoundsWire", Rounds);
optional!(rocked_option, "RockedWire", Rocked);
list!(nm_list, "nm", Length);
list!(tick_list, "TickWire", Tick);
list!(known_part_list, "KnownPartWire", KnownPart);
pub(in crate::store::codec) use list;
