

mod activity;
mod listening;
mod published_codes;
mod published_frames;
mod readers;
mod recognising;
mod synthetic;
