//! Points and directions in plan view, m.

pub type P = [f64; 2];

pub fn add(a: P, b: P) -> P {
    [a[0] + b[0], a[1] + b[1]]
}
pub fn sub(a: P, b: P) -> P {
    [a[0] - b[0], a[1] - b[1]]
}
pub fn times(a: P, k: f64) -> P {
    [a[0] * k, a[1] * k]
}
pub fn dot(a: P, b: P) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}
pub fn cross(a: P, b: P) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}
pub fn turned(a: P, by_rad: f64) -> P {
    let (s, c) = by_rad.sin_cos();
    [c * a[0] - s * a[1], s * a[0] + c * a[1]]
}
pub fn power(a: f64, p: f64) -> f64 {
    if p == 1.0 { a } else { a.powf(p) }
}
/// ẑ × a.
pub fn left_of(a: P) -> P {
    [-a[1], a[0]]
}
