import java.io.FileInputStream;
import java.util.TreeMap;

import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/** Asks veraPDF whether files conform: PdfUa FLAVOUR FILE..., for each file a line with the number of checks and of
 * rules, then one line for each rule that failed, parted by tabs. */
public class PdfUa {
    public static void main(String[] given) throws Exception {
        VeraGreenfieldFoundryProvider.initialise();
        PDFAFlavour flavour = PDFAFlavour.fromString(given[0]);
        for (int i = 1; i < given.length; i++) {
            try (PDFAParser parser = Foundries.defaultInstance().createParser(new FileInputStream(given[i]), flavour)) {
                tell(given[i], Foundries.defaultInstance().createValidator(flavour, false).validate(parser));
            }
        }
    }

    private static void tell(String file, ValidationResult found) {
        int rules = found.getValidationProfile().getRules().size();
        System.out.println("file\t" + file + "\t" + found.getTotalAssertions() + "\t" + rules);
        TreeMap<String, String> failed = new TreeMap<>();
        for (TestAssertion one : found.getTestAssertions()) {
            if (one.getStatus() == TestAssertion.Status.FAILED) {
                String rule = one.getRuleId().getClause() + "-" + one.getRuleId().getTestNumber();
                failed.putIfAbsent(rule, one.getMessage());
            }
        }
        failed.forEach((rule, words) -> System.out.println("failed\t" + rule + "\t" + words));
    }
}
