//! Regimes of a foam maker and their boundaries.
//!
//! With E the expansion ratio at atmosphere, p_l the liquid pressure at its source:
//!
//! ```text
//! air-locked    p_l <= tee pressure with the air alone            the air holds the liquid back for good
//! pulsing       p_l <= plug pressure + ripple                     the air pushes the liquid back at every plug: it spits
//! liquid only   E < touch                                         bubbles do not touch: a thin stream, no foam
//! wet           touch <= E < firm
//! good          firm <= E < dry
//! dry           E >= dry
//! ```
//!
//! Going up that list the air has more say.

use super::error::{FoamError, within};

/// What leaves the outlets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Regime {
    /// Nothing flows.
    Off,
    /// A thin stream: bubbles apart in liquid.
    LiquidOnly,
    /// Runny foam.
    Wet,
    /// Foam that stands and is still wet.
    Good,
    /// Foam with too little liquid in it.
    Dry,
    /// Spits: the air pushes the liquid back whenever a plug forms.
    Pulsing,
    /// The air holds the liquid back for good.
    AirLocked,
}

impl Regime {
    /// Every regime in rising say of the air.
    pub const ALL: [Self; 7] =
        [Self::Off, Self::LiquidOnly, Self::Wet, Self::Good, Self::Dry, Self::Pulsing, Self::AirLocked];

    /// Name in trade words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::LiquidOnly => "liquid only",
            Self::Wet => "wet",
            Self::Good => "good",
            Self::Dry => "dry",
            Self::Pulsing => "pulsing",
            Self::AirLocked => "air-locked",
        }
    }

    /// Where the boundary on the side of less air comes from.
    #[must_use]
    pub fn boundary_source(self) -> &'static str {
        match self {
            Self::Off | Self::LiquidOnly => "no boundary: whatever flows without foaming",
            Self::Wet => {
                "bubbles touch at a gas fraction of about 0.64, random close packing (physics of foams, from memory)"
            }
            Self::Good => "engineering estimate: calibrate by eye at the outlets",
            Self::Dry => {
                "the 20:1 end of low expansion in NFPA 11, borrowed for wash foam: engineering estimate"
            }
            Self::Pulsing => {
                "the air's pressure behind a plug of liquid, computed, plus a ripple: engineering estimate"
            }
            Self::AirLocked => "the tee pressure of the air alone, computed",
        }
    }
}

/// Boundaries between regimes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegimeLimits {
    /// Expansion ratio at which bubbles touch, 1.5 to 5.
    pub touch: f64,
    /// Expansion ratio at which foam stands, above `touch`, up to 20.
    pub firm: f64,
    /// Expansion ratio at which foam is too dry, above `firm`, up to 200.
    pub dry: f64,
    /// What pump and regulator ripple by, Pa, 0 to 100 000.
    pub ripple_pa: f64,
}

impl Default for RegimeLimits {
    /// 1/0.36 (close packing), 5 (engineering estimate), 20 (NFPA 11 low expansion) and 10 kPa (engineering estimate).
    fn default() -> Self {
        Self { touch: 1.0 / 0.36, firm: 5.0, dry: 20.0, ripple_pa: 10e3 }
    }
}

impl RegimeLimits {
    /// Refuses boundaries out of range or out of order.
    ///
    /// # Errors
    /// The first field at fault.
    pub fn check(&self) -> Result<(), FoamError> {
        within("touch", self.touch, "", 1.5, 5.0, "2.8 is where bubbles touch")?;
        within("firm", self.firm, "", self.touch, 20.0, "5 is the usual start")?;
        within("dry", self.dry, "", self.firm, 200.0, "20 is the usual start")?;
        within("ripple_pa", self.ripple_pa, "Pa", 0.0, 1e5, "watch how far the liquid gauge swings")
    }

    /// The regime of a balance. Pressures Pa gauge; `expansion` none when no liquid flows.
    #[must_use]
    pub fn classify(
        &self,
        liquid_source_pa: f64,
        air_flows: bool,
        air_alone_tee_pa: f64,
        plug_tee_pa: f64,
        expansion: Option<f64>,
    ) -> Regime {
        let Some(expansion) = expansion else {
            return if air_flows { Regime::AirLocked } else { Regime::Off };
        };
        if !air_flows {
            return Regime::LiquidOnly;
        }
        if liquid_source_pa <= air_alone_tee_pa {
            Regime::AirLocked
        } else if liquid_source_pa <= plug_tee_pa + self.ripple_pa {
            Regime::Pulsing
        } else if expansion >= self.dry {
            Regime::Dry
        } else if expansion >= self.firm {
            Regime::Good
        } else if expansion >= self.touch {
            Regime::Wet
        } else {
            Regime::LiquidOnly
        }
    }
}
