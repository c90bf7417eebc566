use crate::Zone;

/// How many natural modes a fit may use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ModeCount {
    /// One mode, whatever the residual says.
    One,
    /// A second mode if the residual of the first demands it.
    #[default]
    AtMostTwo,
}

/// Settings of a ring-down fit; the default suits a directly sampled record.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct RingDownOptions {
    /// Apparent frequencies between which the modes are sought, hertz. Default: from one cycle in the longest record to
    /// just under half the sample rate.
    pub search_band_hz: Option<(f64, f64)>,
    /// Number of modes.
    pub modes: ModeCount,
    /// Where the true frequencies lie if the record is undersampled.
    pub zone: Zone,
    /// Step of the quantiser in the samples' unit, zero if unknown. A tail that sinks below the step has no noise of its
    /// own, so the residual is not held to less than `step / √12`.
    pub quantisation_step: f64,
    /// Time from a drive's edge to the first sample of each record, seconds. Only [`fit_edges`](crate::fit_edges) and its kin
    /// use it, to tell the ring from a key by what each had at the edge.
    pub start_delay_s: f64,
}
