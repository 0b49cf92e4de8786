//! Closed lists of words: an enum that is written, shown and read back as its word.

/// An enum with one word for each of its members, in one table.
macro_rules! closed {
    (
        $(#[$about:meta])*
        pub enum $name:ident { $($(#[$of:meta])* $member:ident => $word:literal,)+ }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$of])* $member,)+ }

        impl $name {
            /// Every member with its word.
            pub const ALL: &'static [($name, &'static str)] = &[$(($name::$member, $word),)+];

            /// The member a word means.
            pub fn parse(word: &str) -> Option<$name> {
                let found = Self::ALL.iter().find(|(_, known)| *known == word);
                found.map(|(one, _)| *one)
            }

            /// Its word.
            pub fn word(self) -> &'static str {
                match self { $($name::$member => $word,)+ }
            }
        }

        impl ::std::fmt::Display for $name {
            fn fmt(&self, f: &mut ::std::fmt::Formatter<'_>) -> ::std::fmt::Result {
                f.pad(self.word())
            }
        }

        impl ::serde::Serialize for $name {
            fn serialize<S: ::serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.word())
            }
        }

        impl<'de> ::serde::Deserialize<'de> for $name {
            fn deserialize<D: ::serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let word = <String as ::serde::Deserialize>::deserialize(from)?;
                Self::parse(&word).ok_or_else(|| {
                    let message = format!("`{word}` is none of the words of {}", stringify!($name));
                    ::serde::de::Error::custom(message)
                })
            }
        }
    };
}

pub(crate) use closed;
