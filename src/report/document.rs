//! Parts of a document that also stand in a text for people: one row for both.

use crate::units::DimensionInfo;

/// One cell of the text: a number of some dimension, a number without, a text, or nothing.
#[derive(Debug, Clone)]
pub(super) enum Cell {
    Number(&'static DimensionInfo, f64),
    Plain(f64),
    Text(String),
    Missing,
}

/// What may stand in a cell.
pub(super) trait IntoCell {
    fn cell(self, info: Option<&'static DimensionInfo>) -> Cell;
}

impl IntoCell for f64 {
    fn cell(self, info: Option<&'static DimensionInfo>) -> Cell {
        info.map_or(Cell::Plain(self), |info| Cell::Number(info, self))
    }
}

impl<T: IntoCell> IntoCell for Option<T> {
    fn cell(self, info: Option<&'static DimensionInfo>) -> Cell {
        self.map_or(Cell::Missing, |value| value.cell(info))
    }
}

impl IntoCell for String {
    fn cell(self, _: Option<&'static DimensionInfo>) -> Cell {
        Cell::Text(self)
    }
}

impl IntoCell for u32 {
    fn cell(self, _: Option<&'static DimensionInfo>) -> Cell {
        Cell::Text(self.to_string())
    }
}

impl IntoCell for bool {
    fn cell(self, _: Option<&'static DimensionInfo>) -> Cell {
        Cell::Text(if self { "yes" } else { "no" }.to_owned())
    }
}

/// A part of the document with its rows in the text: label and cell; all cells are missing where there is no such part.
pub(super) trait Rows {
    fn rows(this: Option<&Self>) -> Vec<(&'static str, Cell)>;
}

/// A part of a document, a number a row: its key in JSON, how it is read from the model, and, for the text, its label, its dimension and, where the
/// number is in the field, how it is taken from there. A field without a label stands in JSON only.
macro_rules! document {
    ($(#[$doc:meta])* $name:ident from |$($source:ident: $model:ty),*| { $(
        $(#[$field_doc:meta])*
        $field:ident: $kind:ty = $from:expr $(, $label:literal $($dim:ident)? $(|$whole:ident| $take:expr)?)*;
    )* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $kind,)*
        }

        impl $name {
            pub(super) fn new($($source: $model),*) -> Self {
                $name { $($field: $from,)* }
            }
        }

        impl $crate::report::document::Rows for $name {
            fn rows(_this: Option<&Self>) -> Vec<(&'static str, $crate::report::document::Cell)> {
                vec![$($((
                    $label,
                    $crate::report::document::IntoCell::cell(
                        _this.map(|part| {
                            let whole = part.$field.clone();
                            $(let whole = { let $whole = whole; $take };)?
                            whole
                        }),
                        $crate::report::document::document!(@info $($dim)?),
                    ),
                ),)*)*]
            }
        }
    };
    (@info) => { None };
    (@info $dim:ident) => { Some($dim::INFO) };
}
pub(super) use document;
