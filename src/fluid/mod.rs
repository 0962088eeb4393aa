//! Laws of flow that more than one part of a wash needs: compressed air through a restriction, water and
//! concentrate through an orifice or a narrow tube.
//!
//! Pure functions in SI with no state. Pressures are **absolute** where a name or docstring says so (air), and
//! differences elsewhere (liquid). A positive flow goes from the first named side to the second.
//!
//! What is not here: compressibility of liquid, water hammer, heat transfer.

pub mod air;
pub mod liquid;

pub use air::{
    R_AIR_J_KG_K, RHO_ANR_KG_M3, STANDARD_LAMINAR_RATIO, T_ANR_K, iso6358_mass_flow_capped_kg_s,
    iso6358_mass_flow_kg_s, iso6358_signed_mass_flow_kg_s,
};
pub use liquid::{
    WATER_20C, Water, hagen_poiseuille_flow_m3_s, orifice_drop_pa, orifice_flow_m3_s, pipe_reynolds,
    series_flow_m3_s,
};

/// Standard atmosphere, Pa absolute (exact by definition).
pub const ATMOSPHERE_PA: f64 = 101_325.0;

/// Standard acceleration of gravity, m/s² (exact by definition).
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;
