//! Names of columns: a number's name ends with its unit.

/// A unit as the end of a column name: `veh/h` is `veh_per_h`, `°` is `deg`. Empty for plain numbers.
fn unit_word(symbol: &str) -> String {
    let mut word = String::new();
    for c in symbol.chars() {
        match c {
            '/' => word.push_str("_per_"),
            '°' => word.push_str("deg"),
            '%' => word.push_str("percent"),
            '²' => word.push('2'),
            '³' => word.push('3'),
            'µ' | 'μ' => word.push('u'),
            c if c.is_alphanumeric() => word.push(c),
            _ if word.ends_with('_') => {}
            _ => word.push('_'),
        }
    }
    word.trim_matches('_').to_owned()
}

/// A column name with its unit: `tail_gap` and `m` give `tail_gap_m`.
pub fn column_name(name: &str, symbol: &str) -> String {
    let unit = unit_word(symbol);
    if unit.is_empty() { name.to_owned() } else { format!("{name}_{unit}") }
}

/// A column name in two: the name, and the symbol of the unit it ends with (the longest that fits), as [`column_name`] puts them together.
pub fn column_parts(column: &str) -> (&str, Option<&'static str>) {
    let units = super::ALL.iter().flat_map(|dimension| dimension.units);
    let ends = units.filter_map(|unit| {
        let word = unit_word(unit.symbol);
        let name = column.strip_suffix(word.as_str())?.strip_suffix('_')?;
        (!word.is_empty() && !name.is_empty()).then_some((name, unit.symbol))
    });
    ends.min_by_key(|(name, _)| name.len()).map_or((column, None), |(name, unit)| (name, Some(unit)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_column_names_are_words() {
        assert_eq!(column_name("throughput", "veh/h"), "throughput_veh_per_h");
        assert_eq!(column_name("yaw", "°"), "yaw_deg");
        assert_eq!(column_name("torque", "lbf ft"), "torque_lbf_ft");
        assert_eq!(column_name("friction", ""), "friction");
        assert_eq!(column_name("work", "J/m2"), "work_J_per_m2");
    }

    #[test]
    fn verif_column_names_come_apart_where_they_were_put_together() {
        for (name, unit) in
            [("line.throughput", "veh/h"), ("left.air.cap", "psi"), ("work", "J/m2"), ("gap", "ft")]
        {
            assert_eq!(column_parts(&column_name(name, unit)), (name, Some(unit)));
        }
        for name in ["left.stop_pin.hole", "vehicle", "both.brush.friction", "in"] {
            assert_eq!(column_parts(name), (name, None));
        }
    }
}
