"""Every condition of every profile: its kind, figure, letter and source, as they were found when the rules were read.

Letters: read in the rule's own text; copy: in a copy, or on an official page that restates it; memory; assumption.
Texts: California as restated by Azusa, San Diego County Water Authority and Plumas County; Arizona R18-9-711 in a
copy, brochure C 07-01, A704 on a legal database; New Mexico 810 in a copy, 809 on a legal database; Texas Register;
apps.leg.wa.gov; law.cornell.edu and oregon.public.law; regulations.justia.com and the enrolled HB 24-1362;
utrules.elaws.us (2019) and justia (2024); mtrules.org; a district attorney's letter (Nevada); self-law.org (Hawaii);
austlii.edu.au; up.codes; health.wa.gov.au. What could not be read is from memory and says so.
"""

from __future__ import annotations

# profile | condition | kind | figure | letter | how its source begins
CONDITIONS = """
us-ca-washer | permit | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | dwelling | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | washer alone | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | pipes uncut | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | notice | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | valve | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | label | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | untouched | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | pump | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | lot | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | field | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | ponding | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | cover | must | 2 in | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | contact | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | diapers | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | hazardous | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | other rules | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | manual | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | food | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | spray | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | storm sewer | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | trap | must |  | memory | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | storage | must | 0 h | copy | a utility's page and a city's handout, which
us-ca-washer | distances | must |  | copy | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | groundwater | open question |  | memory | California Plumbing Code (24 CCR part 5), gr
us-ca-washer | flow | design flow | 15 gal/day per occupant | read | California Plumbing Code (24 CCR part 5), gr
us-az-1 | permit | must |  | read | Arizona Administrative Code R18-9-A704(A)
us-az-1 | cities | must |  | copy | Arizona Revised Statutes 49-204
us-az-1 | dwelling | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | laundry | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | volume | limit a day | < 400 gal/day | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | overflow | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | diapers | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | hazardous | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | food | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | method | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | spray | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | ponding | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | lot | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | contact | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | covered tank | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | label | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | groundwater | must | 5 ft | copy | Arizona R18-9-711, a copy, and the state's b
us-az-1 | floodway | must |  | copy | Arizona R18-9-711, a copy, and the state's b
us-nm | permit | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | cities | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | dwelling | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | laundry | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | volume | limit a day | < 250 gal/day | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | overflow | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | diapers | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | hazardous | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | food | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | cover | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | spray | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | ponding | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | watercourse | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | lot | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | contact | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | absorption | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | storage | must | 24 h | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | covered tank | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | label | must |  | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | distances | must |  | read | New Mexico 20.7.3.809 NMAC, for systems with
us-nm | groundwater | must | 5 ft | copy | New Mexico 20.7.3.810 NMAC, items A to O in
us-nm | floodway | must |  | memory | New Mexico NMSA 1978 74-6-4
us-tx | permit | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | statute | must |  | copy | Texas Health and Safety Code 341.039
us-tx | dwelling | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | laundry | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | volume | average | < 400 gal/day | read | Texas 30 TAC 210.83(a) to (d)
us-tx | tank | open question |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | overflow | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | diapers | must |  | read | Texas 30 TAC 210.82(a)
us-tx | hazardous | must |  | read | Texas 30 TAC 210.82(a)
us-tx | food | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | method | must |  | copy | Texas 30 TAC 210 subchapter F, the text of 2
us-tx | spray | must |  | copy | Texas 30 TAC 210 subchapter F, the text of 2
us-tx | ponding | must |  | copy | Texas 30 TAC 210 subchapter F, the text of 2
us-tx | lot | must |  | read | Texas 30 TAC 210.83(a) to (d)
us-tx | pavement | must |  | copy | Texas 30 TAC 210 subchapter F, the text of 2
us-tx | label | must |  | copy | Texas 30 TAC 210 subchapter F, the text of 2
us-wa-1 | permit | must |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | dwelling | must |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | laundry | must |  | read | Washington Administrative Code 246-274-005
us-wa-1 | volume | limit a day | 60 gal/day | read | Washington Administrative Code 246-274-100(1
us-wa-1 | flow | design flow | 11 gal/day per occupant | read | Washington Administrative Code 246-274-410
us-wa-1 | valve | must |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | failure | must |  | read | Washington Administrative Code 246-274-445
us-wa-1 | diapers | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | hazardous | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | softener | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | food | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | cover | must | 4 in | read | Washington Administrative Code 246-274-100(1
us-wa-1 | surface | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | spray | must |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | ponding | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | lot | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | contact | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | season | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | plant use | must |  | read | Washington Administrative Code 246-274-011(1
us-wa-1 | wet ground | must |  | memory | Washington Administrative Code 246-274
us-wa-1 | storage | must | 0 h | read | Washington Administrative Code 246-274-011(1
us-wa-1 | gravity | must |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | own pump | open question |  | read | Washington Administrative Code 246-274-100(1
us-wa-1 | distances | must |  | read | Washington Administrative Code 246-274-405
us-wa-1 | floodway | must |  | read | Washington Administrative Code 246-274-011(1
us-or-1 | permit | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | until | must |  | copy | Oregon permit WPCF GEN 2401, its face page
us-or-1 | dwelling | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | bedrooms | must | 4 | copy | Oregon permit WPCF GEN 2401, its face page
us-or-1 | laundry | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | volume | limit a day | 300 gal/day | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | overflow | must |  | read | Oregon Administrative Rules 340-053-0090(1)(
us-or-1 | sewer | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | food | must |  | copy | the rule's advisory committee
us-or-1 | surface | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | cover | must | 2 in | copy | the rule's advisory committee
us-or-1 | spray | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | ponding | must |  | read | Oregon Administrative Rules 340-053-0090(1)(
us-or-1 | contact | must |  | read | Oregon Administrative Rules 340-053-0090(1)(
us-or-1 | storage | must | 24 h | copy | the rule's advisory committee
us-or-1 | distances | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-or-1 | record | choice |  | read | Oregon Administrative Rules 340-053-0110(1)(
us-or-1 | manual | must |  | read | Oregon Administrative Rules 340-053-0080(1)
us-co-a1 | permit | must |  | read | Colorado Revised Statutes 25-8-205.4 (HB 24-
us-co-a1 | dwelling | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | washer alone | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | volume | open question |  | copy | Denver's page on washing machines to landsca
us-co-a1 | diapers | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | excreta | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | hazardous | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | illness | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | food | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | field | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | spray | must |  | copy | Denver's page on washing machines to landsca
us-co-a1 | lot | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | contact | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | wet ground | must |  | copy | Denver's page on washing machines to landsca
us-co-a1 | storage | must | 24 h | memory | Colorado 5 CCR 1002-86, category A1
us-co-a1 | label | choice |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | distances | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | floodway | open question |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-co-a1 | manual | must |  | read | Colorado 5 CCR 1002-86, 86.10 and 86.14(A) t
us-ut | permit | must |  | read | Utah Administrative Code R317-401-1 and -3
us-ut | volume | design flow | 120 gal/day | read | Utah Administrative Code R317-401-5, tables
us-ut | sewer | must |  | read | Utah Administrative Code R317-401-4
us-ut | food | must |  | read | Utah Administrative Code R317-401-3.2(a)
us-ut | surface | must |  | read | Utah Administrative Code R317-401-3.2(a)
us-ut | spray | must |  | read | Utah Administrative Code R317-401-3.2(a)
us-ut | ponding | must |  | read | Utah Administrative Code R317-401-3.2(a)
us-ut | lot | must |  | read | Utah Administrative Code R317-401-3.2(a)
us-ut | tank | open question |  | read | Utah Administrative Code R317-401-4
us-ut | untouched | must |  | read | Utah Administrative Code R317-401-4
us-ut | distances | must |  | read | Utah Administrative Code R317-401-5, tables
us-ut | groundwater | must | 2 ft | read | Utah Administrative Code R317-401-5, tables
us-ut | absorption | must |  | read | Utah Administrative Code R317-401-6, table 4
us-ut | manual | must |  | copy | Utah Administrative Code R317-401
us-nv | permit | must |  | copy | Nevada Administrative Code 444.837(1) to (2)
us-nv | statute | must |  | read | Nevada Administrative Code 444.8301
us-nv | dwelling | must |  | copy | Nevada Administrative Code 444.837(1) to (2)
us-nv | laundry | must |  | copy | Nevada Administrative Code 444.837(1) to (2)
us-nv | surface | must |  | copy | Nevada Administrative Code 444.837(1) to (2)
us-nv | percolation | must |  | copy | Nevada Administrative Code 444.837(1) to (2)
us-mt | permit | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-mt | laundry | must |  | read | Montana Code Annotated 75-5-325 to -327
us-mt | diapers | must |  | read | Montana Code Annotated 75-5-325 to -327
us-mt | softener | must |  | read | Montana Code Annotated 75-5-325 to -327
us-mt | food | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-mt | surface | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-mt | distances | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-mt | groundwater | must | 4 ft | read | Montana Administrative Rules 17.36.319 and 1
us-mt | floodway | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-mt | device | must |  | read | Montana Administrative Rules 17.36.319 and 1
us-hi | permit | must |  | copy | Hawaii Revised Statutes 342D-70
us-hi | laundry | must |  | copy | Hawaii Revised Statutes 342D-70
us-hi | food | must |  | copy | Hawaii Department of Health, Guidelines for
us-hi | cover | must |  | copy | Hawaii Department of Health, Guidelines for
au-wa | permit | must |  | read | Western Australia Department of Health, page
au-wa | local | open question |  | copy | City of Joondalup, page on reusing household
au-wa | device | must |  | read | Western Australia Department of Health, page
au-wa | laundry | must |  | read | Western Australia Department of Health, page
au-wa | surface | must |  | read | Western Australia Department of Health, page
au-wa | cover | must |  | memory | Western Australia Code of Practice for the R
au-wa | diapers | must |  | memory | Western Australia Code of Practice for the R
au-wa | sodium | must |  | memory | Western Australia Code of Practice for the R
au-wa | wet ground | must |  | memory | Western Australia Code of Practice for the R
au-wa | ponding | must |  | memory | Western Australia Code of Practice for the R
au-wa | lot | must |  | memory | Western Australia Code of Practice for the R
au-wa | contact | must |  | memory | Western Australia Code of Practice for the R
au-wa | storage | must | 0 h | memory | Western Australia Code of Practice for the R
au-wa | distances | must |  | read | Western Australia Code of Practice for the R
au-wa | soil | must |  | read | Western Australia Code of Practice for the R
au-nsw | permit | must |  | read | New South Wales Local Government (General) R
au-nsw | sewer | must |  | read | New South Wales Local Government (General) R
au-nsw | laundry | must |  | read | New South Wales Local Government (General) R
au-nsw | valve | must |  | copy | New South Wales Guidelines for Greywater Reu
au-nsw | cover | must | 100 mm | copy | New South Wales Guidelines for Greywater Reu
au-nsw | contact | must |  | read | New South Wales Local Government (General) R
au-nsw | storage | must | 0 h | copy | New South Wales Guidelines for Greywater Reu
au-nsw | device | must |  | copy | New South Wales Guidelines for Greywater Reu
au-vic | permit | must |  | copy | Whitehorse and Frankston councils, pages on
au-vic | laundry | must |  | copy | Whitehorse and Frankston councils, pages on
au-vic | diapers | must |  | copy | Whitehorse and Frankston councils, pages on
au-vic | food | must |  | copy | Whitehorse and Frankston councils, pages on
au-vic | surface | choice |  | copy | Whitehorse and Frankston councils, pages on
au-vic | spray | must |  | copy | Whitehorse and Frankston councils, pages on
au-vic | storage | must | 24 h | copy | Whitehorse and Frankston councils, pages on
au-vic | odour | must |  | copy | Victoria, household greywater advice
upc | permit | must |  | read | Uniform Plumbing Code, 1501.1 to 1501.5
upc | dwelling | must |  | read | Uniform Plumbing Code, 1501.1 to 1501.5
upc | designer | choice |  | read | Uniform Plumbing Code, 1501.1 to 1501.5
upc | laundry | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | valve | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | diapers | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | hazardous | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | food | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | cover | must | 2 in | memory | Uniform Plumbing Code, graywater chapter
upc | spray | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | ponding | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | lot | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | contact | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | storage | open question |  | memory | Uniform Plumbing Code, graywater chapter
upc | label | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | distances | must |  | memory | Uniform Plumbing Code, graywater chapter
upc | groundwater | open question |  | memory | Uniform Plumbing Code, graywater chapter
upc | device | must |  | read | Uniform Plumbing Code, 1501.1 to 1501.5
upc | manual | must |  | memory | Uniform Plumbing Code, graywater chapter
icc | permit | must |  | memory | International Plumbing Code, chapters 13 and
icc | laundry | must |  | read | International Plumbing Code 1301
icc | flow | design flow | 15 gal/day per occupant | memory | International Plumbing Code, chapters 13 and
icc | surface | must |  | memory | International Plumbing Code, chapters 13 and
icc | storage | must | 24 h | memory | International Plumbing Code, chapters 13 and
icc | distances | must |  | memory | International Plumbing Code, chapters 13 and
icc | manual | must |  | copy | International Residential Code P2911.13, pag
generic | permit | must |  | assumption | working assumption: the strictest of the com
generic | dwelling | must |  | assumption | working assumption: the strictest of the com
generic | washer alone | must |  | assumption | working assumption: the strictest of the com
generic | volume | open question | 60 gal/day | assumption | working assumption: the strictest of the com
generic | valve | must |  | assumption | working assumption: the strictest of the com
generic | sewer | must |  | assumption | working assumption: the strictest of the com
generic | diapers | must |  | assumption | working assumption: the strictest of the com
generic | hazardous | must |  | assumption | working assumption: the strictest of the com
generic | softener | must |  | assumption | working assumption: the strictest of the com
generic | illness | must |  | assumption | working assumption: the strictest of the com
generic | food | must |  | assumption | working assumption: the strictest of the com
generic | surface | must |  | assumption | working assumption: the strictest of the com
generic | cover | must | 4 in | assumption | working assumption: the strictest of the com
generic | spray | must |  | assumption | working assumption: the strictest of the com
generic | ponding | must |  | assumption | working assumption: the strictest of the com
generic | lot | must |  | assumption | working assumption: the strictest of the com
generic | contact | must |  | assumption | working assumption: the strictest of the com
generic | wet ground | must |  | assumption | working assumption: the strictest of the com
generic | storage | must | 0 h | assumption | working assumption: the strictest of the com
generic | pump | must |  | assumption | working assumption: the strictest of the com
generic | untouched | must |  | assumption | working assumption: the strictest of the com
generic | label | must |  | assumption | working assumption: the strictest of the com
generic | distances | must |  | assumption | working assumption: the strictest of the com
generic | groundwater | must | 5 ft | assumption | working assumption: the strictest of the com
generic | floodway | must |  | assumption | working assumption: the strictest of the com
generic | device | choice |  | assumption | working assumption: the strictest of the com
generic | manual | must |  | assumption | working assumption: the strictest of the com
"""

ROWS = [tuple(cell.strip() for cell in line.split("|")) for line in CONDITIONS.strip().splitlines()]
