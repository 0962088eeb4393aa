//! Words of a file for names of the model.

/// Words that a file may use where the model has names of its own.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident => $model:ident { $($(#[$word_doc:meta])* $word:ident,)* })*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
        pub enum $name {
            $($(#[$word_doc])* $word,)*
        }

        impl $name {
            const WORDS: &'static [&'static str] = &[$(stringify!($word)),*];

            /// What is meant.
            pub fn model(self) -> $model {
                match self {
                    $($name::$word => $model::$word,)*
                }
            }
        }

        impl $crate::scenario::knob::Field for $name {
            fn value(&self) -> $crate::scenario::setting::SettingValue {
                $crate::scenario::setting::SettingValue { text: format!("{self:?}"), si: 0.0 }
            }

            fn set(&mut self, text: &str) -> Result<(), $crate::error::Refusal> {
                let all = [$($name::$word),*];
                let words: Vec<String> = Self::WORDS.iter().map(|word| (*word).to_owned()).collect();
                *self = all[$crate::scenario::setting::value::choice(text, &words)?];
                Ok(())
            }

            fn ron(&self) -> String {
                format!("{self:?}")
            }
        }

        impl $crate::scenario::part::Value for $name {
            fn find(&self, path: &str) -> Option<&dyn $crate::scenario::knob::Field> {
                path.is_empty().then_some(self)
            }

            fn find_mut(&mut self, path: &str) -> Option<&mut dyn $crate::scenario::knob::Field> {
                path.is_empty().then_some(self)
            }

            fn walk(
                path: &str,
                row: &'static $crate::scenario::part::Parameter,
                visit: &mut $crate::scenario::part::Visit<'_>,
            ) {
                visit(path, row, $crate::scenario::part::Kind::Words(Self::WORDS));
            }
        }
    )* };
}
pub(in crate::scenario) use words;
