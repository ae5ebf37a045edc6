//! reports
