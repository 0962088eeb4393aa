//! The time control: a plain value driven by commands.
//!
//! All passes shown share one clock. It counts either seconds or the vehicle's position (metres the nose has
//! travelled past the zero of the lane); by position, set-ups at different throughputs stay aligned on the vehicle.
//! Playing always moves the lead pass (the first one) in time; the others follow the clock.

/// What the shared clock counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ClockKind {
    /// Seconds.
    #[default]
    Time,
    /// Metres of vehicle travel.
    Position,
}

/// Where the vehicle is at which time in one pass: pairs of time (s) and position (m), both growing.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    samples: Vec<[f64; 2]>,
}

impl Default for Track {
    /// One metre in one second: a clock for when nothing is solved yet.
    fn default() -> Track {
        Track { samples: vec![[0.0, 0.0], [1.0, 1.0]] }
    }
}

impl Track {
    /// A track from pairs of time (s) and position (m). Pairs that are not finite, or where the time does not grow or
    /// the position falls, are left out. `None` when fewer than two are left.
    pub fn new(samples: impl IntoIterator<Item = [f64; 2]>) -> Option<Track> {
        let mut kept: Vec<[f64; 2]> = Vec::new();
        for sample in samples {
            let grows = kept.last().is_none_or(|last| sample[0] > last[0] && sample[1] >= last[1]);
            if sample.iter().all(|v| v.is_finite()) && grows {
                kept.push(sample);
            }
        }
        (kept.len() >= 2).then_some(Track { samples: kept })
    }

    /// First and last time, seconds.
    pub fn time_range_s(&self) -> [f64; 2] {
        [self.samples[0][0], self.samples[self.samples.len() - 1][0]]
    }

    /// Position at a time, metres; held at the ends.
    pub fn position_m(&self, time_s: f64) -> f64 {
        between(&self.samples, 0, 1, time_s)
    }

    /// Time at a position, seconds; held at the ends, the earliest while the vehicle stands.
    pub fn time_s(&self, position_m: f64) -> f64 {
        between(&self.samples, 1, 0, position_m)
    }

    fn clock(&self, kind: ClockKind, time_s: f64) -> f64 {
        match kind {
            ClockKind::Time => time_s,
            ClockKind::Position => self.position_m(time_s),
        }
    }

    /// This pass's own time when the shared clock shows `value`, seconds, held at the ends of the pass.
    pub fn time_at_clock_s(&self, kind: ClockKind, value: f64) -> f64 {
        let [first, last] = self.time_range_s();
        match kind {
            ClockKind::Time => value.clamp(first, last),
            ClockKind::Position => self.time_s(value),
        }
    }
}

/// Linear interpolation of column `to` over column `from`.
fn between(samples: &[[f64; 2]], from: usize, to: usize, value: f64) -> f64 {
    let index = samples.partition_point(|sample| sample[from] < value);
    if index == 0 {
        return samples[0][to];
    }
    let Some(after) = samples.get(index) else { return samples[samples.len() - 1][to] };
    let before = samples[index - 1];
    let share = (value - before[from]) / (after[from] - before[from]);
    before[to] + (after[to] - before[to]) * share
}

/// A named instant of the lead pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Time in the lead pass, seconds.
    pub time_s: f64,
    /// What happens there.
    pub name: String,
}

/// What can be asked of the time control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Command {
    /// Play; from the start when at the end.
    Play,
    /// Stop.
    Pause,
    /// Play or stop.
    Toggle,
    /// Next faster speed.
    Faster,
    /// Next slower speed.
    Slower,
    /// A speed, times real time; kept between the slowest and the fastest.
    Speed(f64),
    /// Move by so many small steps; stops playing.
    Step(i32),
    /// Go to a value of the shared clock; stops playing.
    Scrub(f64),
    /// Go to a time of the lead pass, seconds; stops playing.
    GoToTime(f64),
    /// Go to the next mark; stops playing.
    NextMark,
    /// Go to the mark before; stops playing.
    PreviousMark,
    /// Go to the mark with this index; stops playing.
    GoToMark(usize),
    /// Go to the start; keeps playing if it was.
    Start,
    /// Go to the end; stops playing.
    End,
    /// Start again at the end, or not.
    Loop(bool),
    /// Change what the clock counts; the lead pass stays at its instant.
    Clock(ClockKind),
    /// Play a stretch once, from and to times of the lead pass, then rest at a third; whatever else moves the clock ends it.
    Once(Stretch),
}

/// A stretch of the lead pass to be played once. Times are of that pass, seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub from_s: f64,
    /// Where it ends.
    pub to_s: f64,
    /// Where the clock rests afterwards.
    pub rest_s: f64,
    /// Speed, times real time.
    pub speed: f64,
}

/// Speeds that Faster and Slower go through, times real time.
pub const SPEEDS: [f64; 8] = [0.0625, 0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0];
/// One small step, seconds.
pub const STEP_S: f64 = 0.05;

/// The time control.
#[derive(Debug, Clone, PartialEq)]
pub struct Playback {
    time_s: f64,
    kind: ClockKind,
    playing: bool,
    looping: bool,
    speed: f64,
    lead: Track,
    marks: Vec<Mark>,
    /// The stretch that is being played, and the speed to go back to.
    once: Option<(Stretch, f64)>,
}

impl Playback {
    /// Stopped at the start of the lead pass.
    pub fn new(lead: Track, marks: Vec<Mark>) -> Playback {
        let [start, _] = lead.time_range_s();
        let mut playback = Playback {
            time_s: start,
            kind: ClockKind::Time,
            playing: false,
            looping: false,
            speed: 1.0,
            lead: lead.clone(),
            marks: Vec::new(),
            once: None,
        };
        playback.set_lead(lead, marks);
        playback
    }

    /// Takes over a freshly solved lead pass. The vehicle stays where it is, whatever the clock counts, as far as the new pass has it there.
    pub fn set_lead(&mut self, lead: Track, mut marks: Vec<Mark>) {
        let position_m = self.position_m();
        marks.retain(|mark| mark.time_s.is_finite());
        marks.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        self.marks = marks;
        if self.lead != lead {
            self.lead = lead;
            self.time_s = self.lead.time_s(position_m);
        }
    }

    /// Where the vehicle is, metres past the zero of the lane.
    pub fn position_m(&self) -> f64 {
        self.lead.position_m(self.time_s)
    }

    /// Goes to where the vehicle has come to a place, metres past the zero of the lane; stops playing.
    pub fn go_to_position(&mut self, position_m: f64) {
        self.command(Command::GoToTime(self.lead.time_s(position_m)));
    }

    /// Time of the lead pass, seconds.
    pub const fn time_s(&self) -> f64 {
        self.time_s
    }

    /// Value of the shared clock: seconds or metres.
    pub fn clock(&self) -> f64 {
        self.lead.clock(self.kind, self.time_s)
    }

    /// What the clock counts.
    pub const fn kind(&self) -> ClockKind {
        self.kind
    }

    /// First and last value of the shared clock.
    pub fn clock_range(&self) -> [f64; 2] {
        self.lead.time_range_s().map(|time_s| self.lead.clock(self.kind, time_s))
    }

    /// Time of another pass at the shared clock, seconds.
    pub fn time_of_s(&self, other: &Track) -> f64 {
        other.time_at_clock_s(self.kind, self.clock())
    }

    /// Whether it plays.
    pub const fn playing(&self) -> bool {
        self.playing
    }

    /// Whether it starts again at the end.
    pub const fn looping(&self) -> bool {
        self.looping
    }

    /// Speed, times real time.
    pub const fn speed(&self) -> f64 {
        self.speed
    }

    /// Marks in order of time.
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// The last mark at or before the current instant.
    pub fn mark_before(&self) -> Option<&Mark> {
        self.marks.iter().rev().find(|mark| mark.time_s <= self.time_s + SAME_S)
    }

    /// The stretch that is being played once.
    pub fn stretch(&self) -> Option<Stretch> {
        self.once.map(|(stretch, _)| stretch)
    }

    /// Carries out a command.
    pub fn command(&mut self, command: Command) {
        let [start, end] = self.lead.time_range_s();
        use Command as C;
        if !matches!(command, C::Play | C::Pause | C::Toggle | C::Loop(_) | C::Clock(_)) {
            self.leave_stretch();
        }
        match command {
            Command::Play => {
                if self.time_s >= end - SAME_S {
                    self.time_s = start;
                }
                self.playing = true;
            }
            Command::Pause => self.playing = false,
            Command::Toggle => self.command(if self.playing { Command::Pause } else { Command::Play }),
            Command::Faster => {
                self.speed = SPEEDS.into_iter().find(|s| *s > self.speed * 1.001).unwrap_or(self.speed);
            }
            Command::Slower => {
                self.speed = SPEEDS.into_iter().rev().find(|s| *s < self.speed * 0.999).unwrap_or(self.speed);
            }
            Command::Speed(speed) => {
                if speed.is_finite() {
                    self.speed = speed.clamp(SPEEDS[0], SPEEDS[SPEEDS.len() - 1]);
                }
            }
            Command::Step(steps) => self.go_to(self.time_s + STEP_S * f64::from(steps)),
            Command::Scrub(value) => {
                if value.is_finite() {
                    self.go_to(self.lead.time_at_clock_s(self.kind, value));
                }
            }
            Command::GoToTime(time_s) => self.go_to(time_s),
            Command::NextMark => {
                if let Some(mark) = self.marks.iter().find(|mark| mark.time_s > self.time_s + SAME_S) {
                    self.go_to(mark.time_s);
                }
            }
            Command::PreviousMark => {
                if let Some(mark) = self.marks.iter().rev().find(|mark| mark.time_s < self.time_s - SAME_S) {
                    self.go_to(mark.time_s);
                }
            }
            Command::GoToMark(index) => {
                if let Some(mark) = self.marks.get(index) {
                    self.go_to(mark.time_s);
                }
            }
            Command::Start => self.time_s = start,
            Command::End => self.go_to(end),
            Command::Loop(on) => self.looping = on,
            Command::Clock(kind) => self.kind = kind,
            Command::Once(stretch) => {
                let times = [stretch.from_s, stretch.to_s, stretch.rest_s];
                if times.iter().chain([&stretch.speed]).all(|value| value.is_finite()) {
                    let [from_s, to_s, rest_s] = times.map(|t_s| t_s.clamp(start, end));
                    let speed = stretch.speed.clamp(SPEEDS[0], SPEEDS[SPEEDS.len() - 1]);
                    self.once = Some((Stretch { from_s, to_s, rest_s, speed }, self.speed));
                    (self.time_s, self.speed, self.playing) = (from_s, speed, true);
                }
            }
        }
    }

    /// The speed from before a stretch comes back with its end.
    fn leave_stretch(&mut self) {
        if let Some((_, speed)) = self.once.take() {
            self.speed = speed;
        }
    }

    /// Lets `step_s` seconds of real time pass.
    pub fn advance(&mut self, step_s: f64) {
        if !(self.playing && step_s.is_finite() && step_s > 0.0) {
            return;
        }
        let [start, end] = self.lead.time_range_s();
        let next = self.time_s + step_s * self.speed;
        if let Some((stretch, _)) = self.once
            && next >= stretch.to_s
        {
            self.go_to(stretch.rest_s);
            self.leave_stretch();
        } else if next < end {
            self.time_s = next;
        } else if self.looping {
            self.time_s = start + (next - end) % (end - start);
        } else {
            self.time_s = end;
            self.playing = false;
        }
    }

    fn go_to(&mut self, time_s: f64) {
        if time_s.is_finite() {
            let [start, end] = self.lead.time_range_s();
            self.time_s = time_s.clamp(start, end);
            self.playing = false;
        }
    }
}

/// Instants nearer than this count as the same, seconds.
const SAME_S: f64 = 1e-6;

#[cfg(test)]
mod tests;
