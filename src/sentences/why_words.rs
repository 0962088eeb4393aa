//! The words of a why sentence in English, Spanish and French. Places for values are written `{0}`, `{1}` …

use crate::arm::Side;

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// The words in one language.
        #[derive(Debug, Clone, Copy)]
        pub struct WhyWords {
            $($(#[$doc])* pub(super) $name: &'static str,)*
            /// The brush on the left and on the right.
            pub(super) brush: [&'static str; 2],
            /// Causes of torque: the program's own term and the term here; what is not listed stays.
            pub(super) causes: &'static [(&'static str, &'static str)],
        }

        impl WhyWords {
            /// Every sentence with its name.
            #[cfg(test)]
            pub(super) fn all(&self) -> Vec<(&'static str, &'static str)> {
                vec![$((stringify!($name), self.$name),)*]
            }
        }
    };
}

words! {
    /// No torque worth naming.
    nothing,
    /// {0} cause, {1} torque.
    inward,
    /// {0} cause, {1} torque.
    outward,
    /// {0} brush, {1} speed, {2} outward, {3} inward.
    nose_drives,
    /// The same while the arm does not swing out.
    nose_presses,
    /// {0} brush, {1} press, {2} force, {3} inward, {4} outward.
    side,
    /// The same past the corner.
    far_side,
    /// {0} brush, {1} press, {2} inward, {3} outward.
    waiting,
    /// {0} brush, {1} speed, {2} press, {3} outward, {4} inward.
    bumper,
    /// {0} brush, {1} friction, {2} inward, {3} outward.
    stuck,
    /// {0} brush, {1} speed, {2} inward, {3} outward.
    swinging_in,
    /// {0} brush, {1} speed, {2} outward, {3} inward.
    swinging_out,
    /// The race; {0} speed of the tail, {1} out of reach, {2} how the brush moves, {3} what comes of it.
    race,
    /// {0} distance.
    out_of_reach,
    /// {0} brush, {1} speed.
    swings_in,
    /// {0} brush.
    stands,
    /// {0} brush, {1} speed.
    still_out,
    /// What comes.
    lie_over,
    /// {0} time.
    come_over,
    /// What came.
    were_over,
    /// {0} distance.
    short_of,
    /// {0} distance.
    no_nearer,
}

impl WhyWords {
    pub(super) fn brush(&self, side: Side) -> &'static str {
        self.brush[side.index()]
    }

    pub(super) fn cause(&self, name: &'static str) -> &'static str {
        self.causes.iter().find(|(own, _)| *own == name).map_or(name, |(_, here)| here)
    }
}

/// Puts values into the places of a template; a value is never looked at for places again.
pub(super) fn fill(template: &str, values: &[&str]) -> String {
    let mut out = String::with_capacity(template.len() + 48);
    let mut rest = template;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let Some((place, after)) = after.split_once('}') else { break };
        out.push_str(place.parse().ok().and_then(|i: usize| values.get(i)).copied().unwrap_or_default());
        rest = after;
    }
    out + rest
}

/// English.
pub const ENGLISH: WhyWords = WhyWords {
    nothing: "nothing",
    inward: "{0} ({1} inward)",
    outward: "{0} ({1} outward)",
    nose_drives: "The nose drives the {0} outboard at {1}: {2} works against {3}.",
    nose_presses: "The nose presses on the {0} outboard at {1}: {2} works against {3}.",
    side: "The {0} rides the side pressed in {1} with {2}: {3} holds it against {4}.",
    far_side: "The {0} rides the far side pressed in {1} with {2}: {3} holds it against {4}.",
    waiting: "The {0} waits on its bumper, pressed {1} into it: {2} is held by {3}.",
    bumper: "The {0} meets its bumper at {1} and is {2} into it: {3} brakes {4}.",
    stuck: "The {0} stands still away from its bumper: friction ({1}) holds what is left between {2} and {3}.",
    swinging_in: "The {0} swings in at {1} with nothing on it: {2} against {3}.",
    swinging_out: "The {0} swings out at {1} with nothing on it: {2} against {3}.",
    race: "The tail leaves at {0}{1}; {2}{3}.",
    out_of_reach: " and is already {0} out of reach",
    swings_in: "the {0} swings in at {1}",
    stands: "the {0} stands still",
    still_out: "the {0} still swings out at {1}",
    lie_over: ": its strips lie over the middle of the tail",
    come_over: ": its strips come over the middle of the tail in {0}",
    were_over: ": its strips were over the middle of the tail",
    short_of: ": its strips end {0} short of the middle of the tail",
    no_nearer: ": its strips came no nearer to the middle of the tail than {0}",
    brush: ["left brush", "right brush"],
    causes: &[],
};

/// Spanish.
pub const SPANISH: WhyWords = WhyWords {
    nothing: "nada",
    inward: "{0} ({1} hacia adentro)",
    outward: "{0} ({1} hacia afuera)",
    nose_drives: "El frente lleva el {0} hacia afuera a {1}: {2} trabaja contra {3}.",
    nose_presses: "El frente aprieta el {0} hacia afuera a {1}: {2} trabaja contra {3}.",
    side: "El {0} va por el lado, hundido {1} con {2}: {3} lo sostiene contra {4}.",
    far_side: "El {0} va por el lado lejano, hundido {1} con {2}: {3} lo sostiene contra {4}.",
    waiting: "El {0} espera en su tope de goma, hundido {1} en él: a {2} lo sostiene {3}.",
    bumper: "El {0} llega a su tope de goma a {1} y está {2} dentro de él: {3} frena a {4}.",
    stuck: "El {0} está quieto lejos de su tope: la fricción ({1}) sostiene lo que queda entre {2} y {3}.",
    swinging_in: "El {0} gira hacia adentro a {1} sin nada encima: {2} contra {3}.",
    swinging_out: "El {0} gira hacia afuera a {1} sin nada encima: {2} contra {3}.",
    race: "La cola se va a {0}{1}; {2}{3}.",
    out_of_reach: " y ya está {0} fuera de alcance",
    swings_in: "el {0} gira hacia adentro a {1}",
    stands: "el {0} está quieto",
    still_out: "el {0} todavía gira hacia afuera a {1}",
    lie_over: ": sus tiras cubren el medio de la cola",
    come_over: ": sus tiras cubren el medio de la cola en {0}",
    were_over: ": sus tiras cubrieron el medio de la cola",
    short_of: ": sus tiras quedan a {0} del medio de la cola",
    no_nearer: ": sus tiras no llegaron a menos de {0} del medio de la cola",
    brush: ["cepillo izquierdo", "cepillo derecho"],
    causes: &[
        ("bearing lean", "inclinación de chumaceras"),
        ("counterweight", "contrapeso"),
        ("air", "aire"),
        ("gas spring", "resorte de gas"),
        ("damper", "amortiguador"),
        ("bumper stop", "tope de goma"),
        ("outboard stop", "tope de afuera"),
        ("pivot friction", "fricción del pivote"),
        ("strip push", "empuje de las tiras"),
        ("strip rub", "roce de las tiras"),
        ("other brush", "el otro cepillo"),
        ("brush air drag", "arrastre del aire"),
    ],
};

/// French.
pub const FRENCH: WhyWords = WhyWords {
    nothing: "rien",
    inward: "{0} ({1} vers l'intérieur)",
    outward: "{0} ({1} vers l'extérieur)",
    nose_drives: "L'avant pousse la {0} vers l'extérieur à {1} : {2} travaille contre {3}.",
    nose_presses: "L'avant appuie sur la {0} vers l'extérieur à {1} : {2} travaille contre {3}.",
    side: "La {0} suit le côté, enfoncée de {1} avec {2} : {3} la tient contre {4}.",
    far_side: "La {0} suit le côté opposé, enfoncée de {1} avec {2} : {3} la tient contre {4}.",
    waiting: "La {0} attend sur sa butée, enfoncée de {1} : {2} est tenu par {3}.",
    bumper: "La {0} touche sa butée à {1} et l'enfonce de {2} : {3} freine {4}.",
    stuck: "La {0} est immobile loin de sa butée : le frottement ({1}) tient ce qui reste entre {2} et {3}.",
    swinging_in: "La {0} pivote vers l'intérieur à {1} sans rien toucher : {2} contre {3}.",
    swinging_out: "La {0} pivote vers l'extérieur à {1} sans rien toucher : {2} contre {3}.",
    race: "L'arrière s'en va à {0}{1} ; {2}{3}.",
    out_of_reach: " et il est déjà {0} hors de portée",
    swings_in: "la {0} pivote vers l'intérieur à {1}",
    stands: "la {0} est immobile",
    still_out: "la {0} pivote encore vers l'extérieur à {1}",
    lie_over: " : ses lanières couvrent le milieu de l'arrière",
    come_over: " : ses lanières couvrent le milieu de l'arrière dans {0}",
    were_over: " : ses lanières ont couvert le milieu de l'arrière",
    short_of: " : ses lanières s'arrêtent à {0} du milieu de l'arrière",
    no_nearer: " : ses lanières ne sont pas venues à moins de {0} du milieu de l'arrière",
    brush: ["brosse gauche", "brosse droite"],
    causes: &[
        ("bearing lean", "inclinaison des paliers"),
        ("counterweight", "contrepoids"),
        ("air", "air"),
        ("gas spring", "ressort à gaz"),
        ("damper", "amortisseur"),
        ("bumper stop", "butée"),
        ("outboard stop", "butée extérieure"),
        ("pivot friction", "frottement du pivot"),
        ("strip push", "poussée des lanières"),
        ("strip rub", "frottement des lanières"),
        ("other brush", "l'autre brosse"),
        ("brush air drag", "traînée d'air"),
    ],
};
