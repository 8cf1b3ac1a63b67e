//! The end of the record: statement, next check, who worked, who signs.

use super::Page;
use super::owner::{completed, next_check};
use crate::domain::entry::Seal;
use crate::domain::service::Ending;
use crate::report::dates;

const LINE: &str = "______________________________";
/// What the signer may be asked for; which of them applies is his to know.
const RULES: &str = "Where 14 CFR part 43 applies: a maintenance entry (43.9(a)) wants the work or \
                     its data, the date of completion, who did it if not the signer, signature, \
                     certificate number and kind; an inspection entry (43.11(a)) wants type and \
                     extent, date and aircraft total time in service, signature, number and kind, \
                     and the statement. Elsewhere the local rules apply. The signer decides.";

impl Page<'_> {
    /// Statement, next check, workers, signature.
    pub(super) fn signing(&mut self) {
        let sign = self.state.sign.clone().unwrap_or_default();
        let or_line = |text: &str| {
            if text.trim().is_empty() { LINE.to_string() } else { text.trim().to_string() }
        };
        let unsigned = matches!(self.service.ending, Ending::Unsigned(_));
        let next = match next_check(self.history.as_ref(), self.earlier) {
            _ if unsigned => "none follows from a service that nobody signed for".into(),
            Some(next) => format!("{} ({})", next.words(), next.why()),
            None => "not known: ____________".into(),
        };
        let workers = self.state.workers.join(", ");
        let done = completed(self.session).filter(|_| self.state.sign.is_some());
        let done = done.map(dates::day_and_time).unwrap_or_default();
        let sheet = &mut self.sheet;
        sheet.heading("Next check");
        sheet.field("not later than", &next);
        sheet.heading("Statement of the signer");
        if sign.statement.trim().is_empty() {
            sheet.line("  ", LINE);
            sheet.line("  ", LINE);
        } else {
            sheet.line("  ", &sign.statement);
        }
        sheet.heading("Persons");
        sheet.field("work done by", &or_line(&workers));
        let signed = if self.file.to_be_signed { "to be signed by" } else { "signed by" };
        sheet.field(signed, &or_line(&sign.signer));
        sheet.field("certificate kind", &or_line(&sign.certificate_kind));
        sheet.field("certificate number", &or_line(&sign.certificate_number));
        sheet.field("date of completion", &or_line(&done));
        if self.file.damage.is_some() {
            sheet.field("seal code", self.file.distrust.no_code());
        }
        if let Some(code) = self.file.seal_code() {
            let words = format!("{code}: note it on the job sheet. It is {}.", Seal::CODE_IS);
            sheet.field("seal code", &words);
        }
        sheet.blank();
        sheet.field("signature", LINE);
        sheet.blank();
        sheet.line("", RULES);
    }
}
