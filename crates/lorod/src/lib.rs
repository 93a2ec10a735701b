//! The binary's parts: the command line, the studio (local web server and its pages), and the facts they share.

pub mod cli;
pub mod facts;
pub mod studio;
