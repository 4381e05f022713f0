package workshop

// Verbs lists every verb of the shop. The journal is read with it, and tests walk
// it. A new verb adds its name here.
func Verbs() []Verb {
	return []Verb{
		On, Off, Done, Away, Back, Go, Oops, Spent, Now, Tonight,
		NeckAdd, NeckList, NeckShow, NeckSet, NeckStepChange, NeckNote, NeckHold, NeckResume, NeckFinish, NeckPay, NeckScrap, NeckQueue, Find,
		PartAdd, PartSet, PartFreight, PartDrop, PartList,
		PieceAdd, PieceSet, PieceUse, PieceOffcut, PieceList,
		OperationList, OperationShow, OperationSet, OperationAdd,
		RouteList, RouteShow, RouteSet, RouteAdd, OverheadShow,
		SupplyAdd, SupplySet, SupplyReceive, SupplyOpen, SupplyUse, SupplyCount, SupplyWriteOff, SupplyOffcut, SupplyAmend, SupplyDrop,
		SupplyList, SupplyShow, SupplyLot, Shopping, ShoppingOrder,
		WoodList, WoodShow, WoodSet,
		EntryList, EntryAmend, EntryMove, EntryDrop, EveningShow, EveningEnter,
		ShopSetup, ShopSet, ShopShow,
		BitAdd, BitSet, BitUse, BitTest, BitDrop, BitSharpen, BitMove, BitList, BitShow, BitVerdict, BitCompare,
		LayoutSolve, LayoutCompare, LayoutCheck, LayoutShow, LayoutDraw, LayoutFreeze, LayoutMarks, LayoutMove, LayoutTry, StackShow,
		DataBackup, DataRestore, DataCheck, DataImport, DataHistory,
		QuoteDraft, QuoteTry, QuoteShow, QuoteList, QuoteSend, QuoteAccept, QuoteDecline, QuoteRevise, QuoteChange, QuoteReview, QuoteHeld, Year, CustomerSet, CustomerList, NeckCare, BitLabels,
	}
}
