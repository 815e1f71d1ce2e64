//! Mustwright: a formulation engine for mead, and the web application of a homebrew club around it.

pub mod engine;

#[cfg(feature = "server")]
pub mod admin;
#[cfg(feature = "server")]
pub mod api;
#[cfg(feature = "server")]
pub mod app;
#[cfg(feature = "server")]
pub mod calculations;
#[cfg(feature = "server")]
pub mod catalogue;
#[cfg(feature = "server")]
pub mod charts;
#[cfg(feature = "server")]
pub mod cluster;
#[cfg(feature = "server")]
pub mod commands;
#[cfg(feature = "server")]
pub mod config;
#[cfg(feature = "server")]
pub mod database;
#[cfg(feature = "server")]
pub mod demo;
#[cfg(feature = "server")]
pub mod home;
#[cfg(feature = "server")]
pub mod members;
#[cfg(feature = "server")]
pub mod recipes;
#[cfg(feature = "server")]
pub mod safety;
#[cfg(feature = "server")]
pub mod serve;
#[cfg(feature = "server")]
pub mod web;
