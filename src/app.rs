//! The state every handler shares, the routers merged, the layers in order.
